-- Job cards, patterns and shop settings with every revision; photos by content.
-- 0x536D746C is "Smtl": it marks the file as ours.
PRAGMA application_id = 0x536D746C;

CREATE TABLE meta (
  key   TEXT PRIMARY KEY,
  value TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- Full canonical JSON, once by content: undo, redo and going back cost no space.
CREATE TABLE body (
  hash BLOB PRIMARY KEY CHECK (length(hash) = 32),
  json TEXT NOT NULL
) STRICT;

CREATE TABLE record (
  id          INTEGER PRIMARY KEY AUTOINCREMENT,
  kind        TEXT NOT NULL CHECK (kind IN ('job', 'pattern', 'shop')),
  number      TEXT NOT NULL,
  title       TEXT NOT NULL,
  customer    TEXT NOT NULL,
  vehicle     TEXT NOT NULL,
  waiting_for TEXT NOT NULL,
  created_us  INTEGER NOT NULL,
  updated_us  INTEGER NOT NULL,
  head        INTEGER NOT NULL REFERENCES revision (id) DEFERRABLE INITIALLY DEFERRED
) STRICT;
CREATE UNIQUE INDEX record_number ON record (number) WHERE kind = 'job' AND number <> '';
CREATE UNIQUE INDEX record_one_shop ON record (kind) WHERE kind = 'shop';
CREATE INDEX record_by_update ON record (kind, updated_us);

-- `shows`: the sequence of the create, edit or return whose content stands after this revision.
-- `made_from`: the state that was shown before; what undo goes to. Null for the first.
CREATE TABLE revision (
  id        INTEGER PRIMARY KEY AUTOINCREMENT,
  record    INTEGER NOT NULL REFERENCES record (id) DEFERRABLE INITIALLY DEFERRED,
  sequence  INTEGER NOT NULL CHECK (sequence >= 1),
  kind      TEXT NOT NULL CHECK (kind IN ('create', 'edit', 'return', 'undo', 'redo')),
  at_us     INTEGER NOT NULL,
  who       TEXT NOT NULL,
  what      TEXT NOT NULL,
  shows     INTEGER NOT NULL,
  made_from INTEGER,
  body      BLOB NOT NULL REFERENCES body (hash),
  heading   TEXT NOT NULL,
  UNIQUE (record, sequence)
) STRICT;

CREATE TABLE photo (
  hash     BLOB PRIMARY KEY CHECK (length(hash) = 32),
  mime     TEXT NOT NULL,
  added_us INTEGER NOT NULL,
  bytes    BLOB NOT NULL
) STRICT;

-- One row for each change; the newest row of a record and photo stands.
CREATE TABLE photo_link (
  id      INTEGER PRIMARY KEY AUTOINCREMENT,
  record  INTEGER NOT NULL REFERENCES record (id),
  photo   BLOB NOT NULL REFERENCES photo (hash),
  caption TEXT NOT NULL,
  shown   INTEGER NOT NULL CHECK (shown IN (0, 1)),
  at_us   INTEGER NOT NULL,
  who     TEXT NOT NULL
) STRICT;
CREATE INDEX photo_link_by_record ON photo_link (record, photo, id);

CREATE TRIGGER revision_kept BEFORE DELETE ON revision BEGIN SELECT RAISE (ABORT, 'revisions are never deleted'); END;
CREATE TRIGGER revision_fixed BEFORE UPDATE ON revision BEGIN SELECT RAISE (ABORT, 'revisions are never changed'); END;
CREATE TRIGGER body_kept BEFORE DELETE ON body BEGIN SELECT RAISE (ABORT, 'revisions are never deleted'); END;
CREATE TRIGGER body_fixed BEFORE UPDATE ON body BEGIN SELECT RAISE (ABORT, 'revisions are never changed'); END;
CREATE TRIGGER photo_kept BEFORE DELETE ON photo BEGIN SELECT RAISE (ABORT, 'photos are never deleted'); END;
CREATE TRIGGER photo_fixed BEFORE UPDATE ON photo BEGIN SELECT RAISE (ABORT, 'photos are never changed'); END;
