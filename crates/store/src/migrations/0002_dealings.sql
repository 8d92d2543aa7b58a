-- What happened with a job outside its card: minutes really taken, documents sent, stops lifted.
CREATE TABLE actual_time (
  id        INTEGER PRIMARY KEY AUTOINCREMENT,
  record    INTEGER NOT NULL REFERENCES record (id),
  piece     TEXT NOT NULL,
  operation TEXT NOT NULL,
  minutes   REAL NOT NULL CHECK (minutes > 0),
  at_us     INTEGER NOT NULL,
  who       TEXT NOT NULL
) STRICT;
CREATE INDEX actual_time_by_operation ON actual_time (operation, id);

CREATE TABLE issued_document (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  record   INTEGER NOT NULL REFERENCES record (id),
  revision INTEGER NOT NULL REFERENCES revision (id),
  document TEXT NOT NULL,
  file     TEXT NOT NULL,
  sent_to  TEXT NOT NULL,
  size     INTEGER NOT NULL,
  hash     BLOB NOT NULL CHECK (length(hash) = 32),
  at_us    INTEGER NOT NULL,
  who      TEXT NOT NULL
) STRICT;
CREATE INDEX issued_document_by_record ON issued_document (record, id);

CREATE TABLE lifted_stop (
  id       INTEGER PRIMARY KEY AUTOINCREMENT,
  record   INTEGER NOT NULL REFERENCES record (id),
  revision INTEGER NOT NULL REFERENCES revision (id),
  stop     TEXT NOT NULL,
  lifter   TEXT NOT NULL CHECK (lifter IN ('shop', 'competent person')),
  name     TEXT NOT NULL,
  trade    TEXT NOT NULL,
  date     TEXT NOT NULL,
  reason   TEXT NOT NULL,
  at_us    INTEGER NOT NULL,
  who      TEXT NOT NULL,
  put_back_us  INTEGER,
  put_back_who TEXT
) STRICT;
CREATE INDEX lifted_stop_by_record ON lifted_stop (record, id);
