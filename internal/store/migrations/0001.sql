-- Store format 1. What each table is for stands in docs/store.md.
-- Times that end in _at are UTC, RFC 3339 with milliseconds; run_at, start and
-- valid_from are local time as people wrote it, ISO 8601, '' when not known.

CREATE TABLE car (
  id       INTEGER PRIMARY KEY,
  key      TEXT NOT NULL UNIQUE,
  name     TEXT NOT NULL,
  added_at TEXT NOT NULL
) STRICT;

CREATE TABLE sheet (
  id         INTEGER PRIMARY KEY,
  car_id     INTEGER NOT NULL REFERENCES car (id),
  revision   INTEGER NOT NULL CHECK (revision > 0),
  label      TEXT NOT NULL,
  valid_from TEXT NOT NULL,
  file       TEXT NOT NULL,
  body       BLOB NOT NULL,
  sha256     TEXT NOT NULL CHECK (length(sha256) = 64),
  added_at   TEXT NOT NULL,
  UNIQUE (car_id, revision)
) STRICT;

CREATE TABLE document (
  id       INTEGER PRIMARY KEY,
  sha256   TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64),
  file     TEXT NOT NULL,
  body     BLOB NOT NULL,
  added_at TEXT NOT NULL
) STRICT;

CREATE TABLE entry (
  id          INTEGER PRIMARY KEY,
  kind        TEXT NOT NULL CHECK (kind IN ('pass', 'planned', 'strip', 'event')),
  key         TEXT NOT NULL,
  revision    INTEGER NOT NULL CHECK (revision > 0),
  body        TEXT NOT NULL,
  sha256      TEXT NOT NULL CHECK (length(sha256) = 64),
  document_id INTEGER REFERENCES document (id),
  added_at    TEXT NOT NULL,
  UNIQUE (kind, key, revision)
) STRICT;

CREATE TABLE log (
  id         INTEGER PRIMARY KEY,
  sha256     TEXT NOT NULL UNIQUE CHECK (length(sha256) = 64),
  file       TEXT NOT NULL,
  size_bytes INTEGER NOT NULL,
  car_id     INTEGER REFERENCES car (id),
  start      TEXT NOT NULL,
  added_at   TEXT NOT NULL,
  removed_at TEXT,
  dropped_at TEXT
) STRICT;

CREATE TABLE log_name (
  log_id INTEGER NOT NULL REFERENCES log (id),
  file   TEXT NOT NULL COLLATE NOCASE,
  PRIMARY KEY (log_id, file)
) STRICT, WITHOUT ROWID;

CREATE INDEX log_name_file ON log_name (file);

CREATE TABLE together (
  log_id  INTEGER NOT NULL REFERENCES log (id),
  with_id INTEGER NOT NULL REFERENCES log (id) CHECK (with_id <> log_id),
  PRIMARY KEY (log_id, with_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE result (
  id       INTEGER PRIMARY KEY,
  log_id   INTEGER NOT NULL REFERENCES log (id),
  made_at  TEXT NOT NULL,
  program  TEXT NOT NULL,
  inputs   TEXT NOT NULL,
  sha256   TEXT NOT NULL CHECK (length(sha256) = 64),
  body     BLOB NOT NULL
) STRICT;

CREATE INDEX result_log ON result (log_id, id);

CREATE TABLE pass (
  id                INTEGER PRIMARY KEY,
  name              TEXT NOT NULL UNIQUE COLLATE NOCASE,
  note_key          TEXT NOT NULL COLLATE NOCASE,
  log_id            INTEGER NOT NULL REFERENCES log (id),
  number            INTEGER NOT NULL CHECK (number >= 0),
  result_id         INTEGER REFERENCES result (id),
  car_id            INTEGER REFERENCES car (id),
  event             TEXT NOT NULL COLLATE NOCASE,
  run_at            TEXT NOT NULL,
  launch_s          REAL,
  complete          INTEGER NOT NULL CHECK (complete IN (0, 1)),
  trap_speed_mps    REAL,
  trap_speed_sd_mps REAL,
  half_mile_s       REAL,
  half_mile_sd_s    REAL,
  verdict           TEXT NOT NULL,
  added_at          TEXT NOT NULL,
  removed_at        TEXT,
  gone_at           TEXT
) STRICT;

CREATE INDEX pass_log ON pass (log_id, number);
CREATE INDEX pass_note ON pass (note_key);
CREATE INDEX pass_run ON pass (car_id, run_at);

CREATE TABLE correction (
  id      INTEGER PRIMARY KEY,
  car_id  INTEGER NOT NULL REFERENCES car (id),
  channel TEXT NOT NULL,
  meaning TEXT NOT NULL,
  made_at TEXT NOT NULL
) STRICT;

CREATE INDEX correction_car ON correction (car_id, channel, id);

CREATE TABLE knowledge (
  id      INTEGER PRIMARY KEY,
  car_id  INTEGER NOT NULL REFERENCES car (id),
  subject TEXT NOT NULL,
  inputs  TEXT NOT NULL,
  body    BLOB NOT NULL,
  sha256  TEXT NOT NULL CHECK (length(sha256) = 64),
  made_at TEXT NOT NULL
) STRICT;

CREATE INDEX knowledge_car ON knowledge (car_id, subject, id);

CREATE TABLE inspection (
  id      INTEGER PRIMARY KEY,
  pass_id INTEGER NOT NULL REFERENCES pass (id),
  found   TEXT NOT NULL CHECK (found <> ''),
  by_whom TEXT NOT NULL,
  made_at TEXT NOT NULL
) STRICT;

CREATE INDEX inspection_pass ON inspection (pass_id, id);

CREATE TABLE forecast (
  id          INTEGER PRIMARY KEY,
  recorded_at TEXT NOT NULL,
  car         TEXT NOT NULL,
  planned     TEXT NOT NULL,
  program     TEXT NOT NULL,
  inputs      TEXT NOT NULL,
  body        BLOB NOT NULL,
  sha256      TEXT NOT NULL CHECK (length(sha256) = 64),
  previous    TEXT NOT NULL,
  chain       TEXT NOT NULL UNIQUE CHECK (length(chain) = 64)
) STRICT;

CREATE INDEX forecast_planned ON forecast (planned, id);

CREATE TABLE score (
  id          INTEGER PRIMARY KEY,
  forecast_id INTEGER NOT NULL REFERENCES forecast (id),
  pass        TEXT NOT NULL,
  kind        TEXT NOT NULL,
  recorded_at TEXT NOT NULL,
  body        BLOB NOT NULL,
  sha256      TEXT NOT NULL CHECK (length(sha256) = 64)
) STRICT;

CREATE INDEX score_forecast ON score (forecast_id, id);

CREATE TABLE journal (
  id       INTEGER PRIMARY KEY,
  at       TEXT NOT NULL,
  action   TEXT NOT NULL,
  subject  TEXT NOT NULL,
  detail   TEXT NOT NULL,
  previous TEXT NOT NULL,
  chain    TEXT NOT NULL UNIQUE CHECK (length(chain) = 64)
) STRICT;

-- Originals that are being written or thrown away; empty unless at work.
CREATE TABLE pending (
  sha256   TEXT PRIMARY KEY CHECK (length(sha256) = 64),
  action   TEXT NOT NULL CHECK (action IN ('add', 'drop')),
  begun_at TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- What was written down before the pass, or about it, stays as it was written.
CREATE TRIGGER forecast_kept BEFORE UPDATE ON forecast
BEGIN SELECT RAISE (ABORT, 'a recorded forecast is never changed'); END;
CREATE TRIGGER forecast_stays BEFORE DELETE ON forecast
BEGIN SELECT RAISE (ABORT, 'a recorded forecast is never deleted'); END;
CREATE TRIGGER score_kept BEFORE UPDATE ON score
BEGIN SELECT RAISE (ABORT, 'a score is never changed'); END;
CREATE TRIGGER score_stays BEFORE DELETE ON score
BEGIN SELECT RAISE (ABORT, 'a score is never deleted'); END;
CREATE TRIGGER inspection_kept BEFORE UPDATE ON inspection
BEGIN SELECT RAISE (ABORT, 'an inspection is never changed'); END;
CREATE TRIGGER inspection_stays BEFORE DELETE ON inspection
BEGIN SELECT RAISE (ABORT, 'an inspection is never deleted'); END;
CREATE TRIGGER journal_kept BEFORE UPDATE ON journal
BEGIN SELECT RAISE (ABORT, 'the journal is never changed'); END;
CREATE TRIGGER journal_stays BEFORE DELETE ON journal
BEGIN SELECT RAISE (ABORT, 'the journal is never deleted'); END;
