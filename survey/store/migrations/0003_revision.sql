-- Issued revisions: the frozen content lies among the blobs under its sum. Nothing of them is ever changed.
CREATE TABLE revision (
  survey   TEXT    NOT NULL REFERENCES survey (id),
  number   INTEGER NOT NULL CHECK (number >= 1),
  sha256   TEXT    NOT NULL CHECK (length(sha256) = 64),
  prev     TEXT    NOT NULL CHECK (length(prev) = CASE number WHEN 1 THEN 0 ELSE 64 END), -- sha256 of the revision before
  by       TEXT    NOT NULL,
  although TEXT    NOT NULL, -- why it was issued although something stopped
  at       INTEGER NOT NULL,
  PRIMARY KEY (survey, number)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER revision_is_not_updated BEFORE UPDATE ON revision BEGIN SELECT RAISE (ABORT, 'an issued revision is never changed'); END;
CREATE TRIGGER revision_is_not_deleted BEFORE DELETE ON revision BEGIN SELECT RAISE (ABORT, 'an issued revision is never deleted'); END;
-- INSERT OR REPLACE deletes without asking the trigger above.
CREATE TRIGGER revision_is_not_replaced BEFORE INSERT ON revision WHEN EXISTS (SELECT 1 FROM revision WHERE survey = NEW.survey AND number = NEW.number)
BEGIN SELECT RAISE (ABORT, 'an issued revision is never replaced'); END;

-- The reports of a revision as they were first painted, among the blobs: they are served from then on.
CREATE TABLE rendition (
  survey TEXT    NOT NULL,
  number INTEGER NOT NULL,
  name   TEXT    NOT NULL, -- "crew-es-a4.pdf"
  sha256 TEXT    NOT NULL CHECK (length(sha256) = 64),
  at     INTEGER NOT NULL,
  PRIMARY KEY (survey, number, name),
  FOREIGN KEY (survey, number) REFERENCES revision (survey, number)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER rendition_is_not_updated BEFORE UPDATE ON rendition BEGIN SELECT RAISE (ABORT, 'a report of a revision is never changed'); END;
CREATE TRIGGER rendition_is_not_deleted BEFORE DELETE ON rendition BEGIN SELECT RAISE (ABORT, 'a report of a revision is never deleted'); END;
CREATE TRIGGER rendition_is_not_replaced BEFORE INSERT ON rendition WHEN EXISTS (SELECT 1 FROM rendition WHERE survey = NEW.survey AND number = NEW.number AND name = NEW.name)
BEGIN SELECT RAISE (ABORT, 'a report of a revision is never replaced'); END;

PRAGMA user_version = 3;
