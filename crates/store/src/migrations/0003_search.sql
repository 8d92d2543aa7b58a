-- Full text over the headings and every written word of cards and patterns.
CREATE VIRTUAL TABLE record_search USING fts5 (
  number, title, customer, vehicle, words,
  tokenize = "unicode61 remove_diacritics 2", prefix = '2 3'
);
INSERT INTO record_search (rowid, number, title, customer, vehicle, words)
SELECT r.id, r.number, r.title, r.customer, r.vehicle,
       coalesce((SELECT group_concat(t.atom, ' ') FROM json_tree(b.json) AS t WHERE t.type = 'text'), '')
FROM record AS r
JOIN revision AS v ON v.id = r.head
JOIN body AS b ON b.hash = v.body
WHERE r.kind <> 'shop';
