-- Who may sign in, and who is signed in. A person is never deleted, only disabled, so that a name in the history stays somebody's.
CREATE TABLE person (
  id          TEXT    NOT NULL PRIMARY KEY,
  name        TEXT    NOT NULL CHECK (length(name) >= 1),
  name_key    TEXT    NOT NULL UNIQUE, -- the name in lower case: what is compared at sign-in
  role        TEXT    NOT NULL CHECK (role IN ('surveyor', 'installer', 'office')),
  password    TEXT    NOT NULL, -- its argon2id hash with salt and costs
  created_at  INTEGER NOT NULL,
  disabled_at INTEGER
) STRICT, WITHOUT ROWID;

CREATE TRIGGER person_is_not_deleted BEFORE DELETE ON person BEGIN SELECT RAISE (ABORT, 'a person is disabled, never deleted'); END;

-- A session is known by the SHA-256 of the token in the browser's cookie: whoever reads this table cannot make the cookie from it.
CREATE TABLE session (
  token_sha256 BLOB    NOT NULL PRIMARY KEY CHECK (length(token_sha256) = 32),
  person       TEXT    NOT NULL REFERENCES person (id),
  begun_at     INTEGER NOT NULL,
  seen_at      INTEGER NOT NULL -- to a few minutes
) STRICT, WITHOUT ROWID;

CREATE INDEX session_person ON session (person);

PRAGMA user_version = 4;
