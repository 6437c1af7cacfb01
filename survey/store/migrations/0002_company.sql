-- The contractor's own texts. Every save is a new row, the highest version stands: what an older scope printed can always be read again.
CREATE TABLE company (
  version      INTEGER NOT NULL PRIMARY KEY CHECK (version >= 1),
  name         TEXT    NOT NULL,
  address      TEXT    NOT NULL,
  phone        TEXT    NOT NULL,
  license      TEXT    NOT NULL,
  terms        TEXT    NOT NULL,
  cancellation TEXT    NOT NULL,
  care         TEXT    NOT NULL,
  valid_days   INTEGER NOT NULL CHECK (valid_days BETWEEN 0 AND 366), -- 0: no promise
  updated_at   INTEGER NOT NULL
) STRICT;

CREATE TRIGGER company_is_not_updated BEFORE UPDATE ON company BEGIN SELECT RAISE (ABORT, 'a saved company is never changed'); END;
CREATE TRIGGER company_is_not_deleted BEFORE DELETE ON company BEGIN SELECT RAISE (ABORT, 'a saved company is never deleted'); END;
-- INSERT OR REPLACE deletes without asking the trigger above.
CREATE TRIGGER company_is_not_replaced BEFORE INSERT ON company WHEN EXISTS (SELECT 1 FROM company WHERE version = NEW.version)
BEGIN SELECT RAISE (ABORT, 'a saved company is never replaced'); END;

PRAGMA user_version = 2;
