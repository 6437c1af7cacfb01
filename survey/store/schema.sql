-- The schema as the migrations leave it. Written by: go test ./survey/store -run TestSchema -update

CREATE TRIGGER approval_is_not_deleted BEFORE DELETE ON approval WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a decision is never deleted'); END;

CREATE TRIGGER approval_is_not_replaced BEFORE INSERT ON approval WHEN EXISTS (SELECT 1 FROM approval WHERE survey = NEW.survey AND (seq = NEW.seq OR number = NEW.number))
BEGIN SELECT RAISE (ABORT, 'a decision is never replaced'); END;

CREATE TRIGGER approval_is_not_updated BEFORE UPDATE ON approval BEGIN SELECT RAISE (ABORT, 'a decision is never changed'); END;

CREATE TABLE approval (
  survey    TEXT    NOT NULL,
  seq       INTEGER NOT NULL CHECK (seq >= 1),
  number    INTEGER NOT NULL,
  sha256    TEXT    NOT NULL CHECK (length(sha256) = 64), -- of the revision's content
  decision  TEXT    NOT NULL CHECK (decision IN ('approved', 'declined')),
  name      TEXT    NOT NULL CHECK (length(name) >= 1),
  reason    TEXT    NOT NULL,
  consent   TEXT    NOT NULL,
  lang      TEXT    NOT NULL,
  at        INTEGER NOT NULL,
  link      TEXT    NOT NULL, -- '' in person
  made_with TEXT    NOT NULL CHECK ((link = '') <> (made_with = '')), -- who handed the phone over
  address   TEXT    NOT NULL,
  agent     TEXT    NOT NULL,
  signature TEXT    NOT NULL,
  prev      TEXT    NOT NULL CHECK (length(prev) = CASE seq WHEN 1 THEN 0 ELSE 64 END), -- hash of the decision before
  hash      TEXT    NOT NULL CHECK (length(hash) = 64),
  PRIMARY KEY (survey, seq),
  UNIQUE (survey, number),
  FOREIGN KEY (survey, number) REFERENCES revision (survey, number)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER company_is_not_deleted BEFORE DELETE ON company BEGIN SELECT RAISE (ABORT, 'a saved company is never deleted'); END;

CREATE TRIGGER company_is_not_replaced BEFORE INSERT ON company WHEN EXISTS (SELECT 1 FROM company WHERE version = NEW.version)
BEGIN SELECT RAISE (ABORT, 'a saved company is never replaced'); END;

CREATE TRIGGER company_is_not_updated BEFORE UPDATE ON company BEGIN SELECT RAISE (ABORT, 'a saved company is never changed'); END;

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
, keep_years INTEGER NOT NULL DEFAULT 0 CHECK (keep_years BETWEEN 0 AND 50)) STRICT;

CREATE TABLE erased_blob (
  survey TEXT NOT NULL REFERENCES erasure (survey),
  sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
  PRIMARY KEY (survey, sha256)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER erasure_is_not_deleted BEFORE DELETE ON erasure BEGIN SELECT RAISE (ABORT, 'an erasure is never deleted'); END;

CREATE TRIGGER erasure_is_not_replaced BEFORE INSERT ON erasure WHEN EXISTS (SELECT 1 FROM erasure WHERE survey = NEW.survey)
BEGIN SELECT RAISE (ABORT, 'an erasure is never replaced'); END;

CREATE TRIGGER erasure_is_not_updated BEFORE UPDATE ON erasure BEGIN SELECT RAISE (ABORT, 'an erasure is never changed'); END;

CREATE TABLE erasure (
  survey TEXT    NOT NULL PRIMARY KEY CHECK (length(survey) = 36),
  seq    INTEGER NOT NULL, -- of the store's sequence, so that its numbers never come twice
  reason TEXT    NOT NULL CHECK (reason IN ('asked', 'kept long enough', 'deleted')),
  by     TEXT    NOT NULL, -- '' when nobody is signed in
  at     INTEGER NOT NULL,
  totals TEXT    NOT NULL CHECK (json_type(totals) = 'object') -- counts, sums and dates; no names, no texts
) STRICT, WITHOUT ROWID;

CREATE TABLE fact (
  survey     TEXT    NOT NULL REFERENCES survey (id),
  key        TEXT    NOT NULL CHECK (key <> ''),
  text       TEXT    NOT NULL, -- empty: taken back, the version goes on
  version    INTEGER NOT NULL CHECK (version >= 1),
  updated_at INTEGER NOT NULL,
  PRIMARY KEY (survey, key)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER filing_is_not_deleted BEFORE DELETE ON filing WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'where a survey was kept is never deleted'); END;

CREATE TRIGGER filing_is_not_replaced BEFORE INSERT ON filing WHEN EXISTS (SELECT 1 FROM filing WHERE survey = NEW.survey AND seq = NEW.seq)
BEGIN SELECT RAISE (ABORT, 'where a survey was kept is never replaced'); END;

CREATE TRIGGER filing_is_not_updated BEFORE UPDATE ON filing BEGIN SELECT RAISE (ABORT, 'where a survey was kept is never changed'); END;

CREATE TABLE filing (
  survey TEXT    NOT NULL REFERENCES survey (id),
  seq    INTEGER NOT NULL CHECK (seq >= 1),
  act    TEXT    NOT NULL CHECK (act IN ('archived', 'deleted', 'returned')),
  by     TEXT    NOT NULL, -- '' when nobody is signed in
  at     INTEGER NOT NULL,
  PRIMARY KEY (survey, seq)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER finish_is_not_deleted BEFORE DELETE ON finish WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'how a survey ended is never deleted'); END;

CREATE TRIGGER finish_is_not_replaced BEFORE INSERT ON finish WHEN EXISTS (SELECT 1 FROM finish WHERE survey = NEW.survey AND seq = NEW.seq)
BEGIN SELECT RAISE (ABORT, 'how a survey ended is never replaced'); END;

CREATE TRIGGER finish_is_not_updated BEFORE UPDATE ON finish BEGIN SELECT RAISE (ABORT, 'how a survey ended is never changed'); END;

CREATE TABLE finish (
  survey    TEXT    NOT NULL REFERENCES survey (id),
  seq       INTEGER NOT NULL CHECK (seq >= 1),
  act       TEXT    NOT NULL CHECK (act IN ('finished', 'signed', 'reopened')),
  sha256    TEXT    NOT NULL CHECK (length(sha256) = 64), -- of what the finishing says
  approved  INTEGER NOT NULL CHECK (approved >= 0),       -- the revision that the work was held against, 0 for none
  by        TEXT    NOT NULL,                             -- who finished, opened again, or handed the phone over
  reason    TEXT    NOT NULL CHECK (act <> 'reopened' OR reason <> ''),
  name      TEXT    NOT NULL CHECK ((act = 'signed') = (name <> '')), -- from here: of a sign-off alone
  consent   TEXT    NOT NULL,
  lang      TEXT    NOT NULL,
  link      TEXT    NOT NULL CHECK ((link = '') = (by <> '')), -- '' in person
  address   TEXT    NOT NULL,
  agent     TEXT    NOT NULL,
  signature TEXT    NOT NULL,
  at        INTEGER NOT NULL,
  prev      TEXT    NOT NULL CHECK (length(prev) = CASE seq WHEN 1 THEN 0 ELSE 64 END), -- hash of the act before
  hash      TEXT    NOT NULL CHECK (length(hash) = 64),
  PRIMARY KEY (survey, seq)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER history_is_not_deleted BEFORE DELETE ON history WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'history is never deleted'); END;

CREATE TRIGGER history_is_not_replaced BEFORE INSERT ON history WHEN EXISTS (SELECT 1 FROM history WHERE seq = NEW.seq)
BEGIN SELECT RAISE (ABORT, 'history is never replaced'); END;

CREATE TRIGGER history_is_not_updated BEFORE UPDATE ON history BEGIN SELECT RAISE (ABORT, 'history is never changed'); END;

CREATE TRIGGER history_tells_content AFTER INSERT ON history WHEN NOT (NEW.kind = 'fact' AND (NEW.record = 'ready' OR NEW.record GLOB 'ready.*' OR NEW.record GLOB 'walk.*' OR NEW.record GLOB 'finish.*'))
BEGIN UPDATE survey SET content_at = max(content_at, NEW.at) WHERE id = NEW.survey; END;

CREATE TABLE history (
  seq     INTEGER NOT NULL PRIMARY KEY,
  survey  TEXT    NOT NULL,
  kind    TEXT    NOT NULL CHECK (kind IN ('survey', 'photo', 'pin', 'fact')),
  record  TEXT    NOT NULL, -- the row's id, of a fact its key
  change  TEXT    NOT NULL CHECK (change IN ('create', 'update', 'delete', 'restore')),
  version INTEGER NOT NULL,
  row     TEXT    NOT NULL CHECK (json_type(row) = 'object'), -- as it was after the change
  at      INTEGER NOT NULL,
  by      TEXT    NOT NULL
) STRICT;

CREATE INDEX history_record ON history (survey, kind, record, seq);

CREATE TRIGGER inquiry_is_not_deleted BEFORE DELETE ON inquiry WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a question is never deleted'); END;

CREATE TRIGGER inquiry_is_not_replaced BEFORE INSERT ON inquiry WHEN EXISTS (SELECT 1 FROM inquiry WHERE id = NEW.id)
BEGIN SELECT RAISE (ABORT, 'a question is never replaced'); END;

CREATE TRIGGER inquiry_is_only_answered BEFORE UPDATE ON inquiry WHEN OLD.answered_at IS NOT NULL OR NEW.answered_at IS NULL OR NEW.id IS NOT OLD.id OR NEW.survey IS NOT OLD.survey
  OR NEW.number IS NOT OLD.number OR NEW.link IS NOT OLD.link OR NEW.name IS NOT OLD.name OR NEW.text IS NOT OLD.text OR NEW.at IS NOT OLD.at
BEGIN SELECT RAISE (ABORT, 'a question is answered once, never changed'); END;

CREATE TABLE inquiry (
  id          TEXT    NOT NULL PRIMARY KEY,
  survey      TEXT    NOT NULL,
  number      INTEGER NOT NULL,
  link        TEXT    NOT NULL REFERENCES link (id),
  name        TEXT    NOT NULL,
  text        TEXT    NOT NULL CHECK (length(text) >= 1),
  at          INTEGER NOT NULL,
  answer      TEXT    NOT NULL DEFAULT '',
  answered_by TEXT    NOT NULL DEFAULT '',
  answered_at INTEGER,
  FOREIGN KEY (survey, number) REFERENCES revision (survey, number)
) STRICT, WITHOUT ROWID;

CREATE INDEX inquiry_survey ON inquiry (survey, at);

CREATE TRIGGER link_is_not_deleted BEFORE DELETE ON link WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a link is revoked, never deleted'); END;

CREATE TRIGGER link_is_not_replaced BEFORE INSERT ON link WHEN EXISTS (SELECT 1 FROM link WHERE id = NEW.id OR token_sha256 = NEW.token_sha256)
BEGIN SELECT RAISE (ABORT, 'a link is never replaced'); END;

CREATE TRIGGER link_is_only_revoked BEFORE UPDATE ON link WHEN OLD.revoked_at IS NOT NULL OR NEW.revoked_at IS NULL OR NEW.id IS NOT OLD.id OR NEW.survey IS NOT OLD.survey
  OR NEW.number IS NOT OLD.number OR NEW.token_sha256 IS NOT OLD.token_sha256 OR NEW.by IS NOT OLD.by OR NEW.at IS NOT OLD.at OR NEW.expires_at IS NOT OLD.expires_at
BEGIN SELECT RAISE (ABORT, 'a link is revoked, never changed'); END;

CREATE TABLE link (
  id           TEXT    NOT NULL PRIMARY KEY,
  survey       TEXT    NOT NULL,
  number       INTEGER NOT NULL,
  token_sha256 BLOB    UNIQUE CHECK (length(token_sha256) = 32),
  by           TEXT    NOT NULL,
  at           INTEGER NOT NULL,
  expires_at   INTEGER NOT NULL CHECK (expires_at > at),
  revoked_at   INTEGER,
  revoked_by   TEXT    NOT NULL DEFAULT '',
  FOREIGN KEY (survey, number) REFERENCES revision (survey, number)
) STRICT, WITHOUT ROWID;

CREATE INDEX link_survey ON link (survey, at);

CREATE TRIGGER person_is_not_deleted BEFORE DELETE ON person BEGIN SELECT RAISE (ABORT, 'a person is disabled, never deleted'); END;

CREATE TABLE person (
  id          TEXT    NOT NULL PRIMARY KEY,
  name        TEXT    NOT NULL CHECK (length(name) >= 1),
  name_key    TEXT    NOT NULL UNIQUE, -- the name in lower case: what is compared at sign-in
  role        TEXT    NOT NULL CHECK (role IN ('surveyor', 'installer', 'office')),
  password    TEXT    NOT NULL, -- its argon2id hash with salt and costs
  created_at  INTEGER NOT NULL,
  disabled_at INTEGER
) STRICT, WITHOUT ROWID;

CREATE TRIGGER photo_keeps_its_place BEFORE UPDATE OF id, survey, number, sha256, bytes, seq ON photo
WHEN (NEW.id, NEW.survey, NEW.number, NEW.sha256, NEW.bytes, NEW.seq) IS NOT (OLD.id, OLD.survey, OLD.number, OLD.sha256, OLD.bytes, OLD.seq)
BEGIN SELECT RAISE (ABORT, 'a photo keeps its id, survey, number and bytes'); END;

CREATE TABLE photo (
  id         TEXT    NOT NULL UNIQUE CHECK (length(id) = 36),
  survey     TEXT    NOT NULL REFERENCES survey (id),
  number     INTEGER NOT NULL CHECK (number >= 1),
  name       TEXT    NOT NULL,
  caption    TEXT    NOT NULL,
  sha256     TEXT    NOT NULL CHECK (length(sha256) = 64),
  bytes      INTEGER NOT NULL CHECK (bytes >= 0),
  width      INTEGER NOT NULL,
  height     INTEGER NOT NULL,
  screen     TEXT    NOT NULL,
  thumb      TEXT    NOT NULL,
  meta       TEXT    NOT NULL CHECK (json_type(meta) = 'object'),
  version    INTEGER NOT NULL CHECK (version >= 1),
  added_at   INTEGER NOT NULL,
  seq        INTEGER NOT NULL UNIQUE,
  deleted_at INTEGER,
  PRIMARY KEY (survey, number),
  UNIQUE (survey, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX photo_shown ON photo (survey) WHERE deleted_at IS NULL;

CREATE TRIGGER pin_keeps_its_place BEFORE UPDATE OF id, survey, photo, number ON pin
WHEN (NEW.id, NEW.survey, NEW.photo, NEW.number) IS NOT (OLD.id, OLD.survey, OLD.photo, OLD.number)
BEGIN SELECT RAISE (ABORT, 'a pin keeps its id, survey, photo and number'); END;

CREATE TABLE pin (
  id         TEXT    NOT NULL UNIQUE CHECK (length(id) = 36),
  survey     TEXT    NOT NULL,
  photo      TEXT    NOT NULL,
  kind       TEXT    NOT NULL,
  number     INTEGER NOT NULL CHECK (number >= 1),
  x          REAL    NOT NULL CHECK (x BETWEEN 0 AND 1),
  y          REAL    NOT NULL CHECK (y BETWEEN 0 AND 1),
  x2         REAL             CHECK (x2 BETWEEN 0 AND 1),
  y2         REAL             CHECK (y2 BETWEEN 0 AND 1),
  "values"   TEXT    NOT NULL CHECK (json_type("values") = 'object'),
  note       TEXT    NOT NULL,
  placed_by  TEXT    NOT NULL,
  version    INTEGER NOT NULL CHECK (version >= 1),
  created_at INTEGER NOT NULL,
  updated_at INTEGER NOT NULL,
  deleted_at INTEGER,
  PRIMARY KEY (survey, number),
  FOREIGN KEY (survey, photo) REFERENCES photo (survey, id),
  CHECK ((x2 IS NULL) = (y2 IS NULL))
) STRICT, WITHOUT ROWID;

CREATE INDEX pin_shown ON pin (survey, photo) WHERE deleted_at IS NULL;

CREATE TRIGGER remark_is_not_deleted BEFORE DELETE ON remark WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'what was said is never deleted'); END;

CREATE TRIGGER remark_is_not_replaced BEFORE INSERT ON remark WHEN EXISTS (SELECT 1 FROM remark WHERE id = NEW.id)
BEGIN SELECT RAISE (ABORT, 'what was said is never replaced'); END;

CREATE TRIGGER remark_is_not_updated BEFORE UPDATE ON remark BEGIN SELECT RAISE (ABORT, 'what was said is never changed'); END;

CREATE TABLE remark (
  id       TEXT    NOT NULL PRIMARY KEY CHECK (length(id) = 36),
  survey   TEXT    NOT NULL REFERENCES survey (id),
  question TEXT    NOT NULL REFERENCES remark (id),
  kind     TEXT    NOT NULL CHECK (kind IN ('ask', 'answer')),
  subject  TEXT    NOT NULL CHECK (subject IN ('', 'survey', 'pin', 'photo', 'fact', 'line') AND (subject = '') = (question <> id)),
  target   TEXT    NOT NULL,
  about    TEXT    NOT NULL, -- the subject in words, as it was called then
  text     TEXT    NOT NULL CHECK (length(text) >= 1),
  photo    TEXT    NOT NULL,
  by       TEXT    NOT NULL CHECK (length(by) >= 1),
  at       INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE INDEX remark_survey ON remark (survey, at);

CREATE TRIGGER rendition_is_not_deleted BEFORE DELETE ON rendition WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a report of a revision is never deleted'); END;

CREATE TRIGGER rendition_is_not_replaced BEFORE INSERT ON rendition WHEN EXISTS (SELECT 1 FROM rendition WHERE survey = NEW.survey AND number = NEW.number AND name = NEW.name)
BEGIN SELECT RAISE (ABORT, 'a report of a revision is never replaced'); END;

CREATE TRIGGER rendition_is_not_updated BEFORE UPDATE ON rendition BEGIN SELECT RAISE (ABORT, 'a report of a revision is never changed'); END;

CREATE TABLE rendition (
  survey TEXT    NOT NULL,
  number INTEGER NOT NULL,
  name   TEXT    NOT NULL, -- "crew-es-a4.pdf"
  sha256 TEXT    NOT NULL CHECK (length(sha256) = 64),
  at     INTEGER NOT NULL,
  PRIMARY KEY (survey, number, name),
  FOREIGN KEY (survey, number) REFERENCES revision (survey, number)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER review_is_not_deleted BEFORE DELETE ON review WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a review is never deleted'); END;

CREATE TRIGGER review_is_not_replaced BEFORE INSERT ON review WHEN EXISTS (SELECT 1 FROM review WHERE survey = NEW.survey AND seq = NEW.seq)
BEGIN SELECT RAISE (ABORT, 'a review is never replaced'); END;

CREATE TRIGGER review_is_not_updated BEFORE UPDATE ON review BEGIN SELECT RAISE (ABORT, 'a review is never changed'); END;

CREATE TABLE review (
  survey   TEXT    NOT NULL REFERENCES survey (id),
  seq      INTEGER NOT NULL CHECK (seq >= 1),
  by       TEXT    NOT NULL CHECK (length(by) >= 1),
  at       INTEGER NOT NULL,
  revision INTEGER NOT NULL CHECK (revision >= 0),
  sha256   TEXT    NOT NULL CHECK (length(sha256) = 64),
  PRIMARY KEY (survey, seq)
) STRICT, WITHOUT ROWID;

CREATE TRIGGER revision_is_not_deleted BEFORE DELETE ON revision WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'an issued revision is never deleted'); END;

CREATE TRIGGER revision_is_not_replaced BEFORE INSERT ON revision WHEN EXISTS (SELECT 1 FROM revision WHERE survey = NEW.survey AND number = NEW.number)
BEGIN SELECT RAISE (ABORT, 'an issued revision is never replaced'); END;

CREATE TRIGGER revision_is_not_updated BEFORE UPDATE ON revision BEGIN SELECT RAISE (ABORT, 'an issued revision is never changed'); END;

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

CREATE TRIGGER seal_is_not_deleted BEFORE DELETE ON seal WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a seal is never deleted'); END;

CREATE TRIGGER seal_is_not_replaced BEFORE INSERT ON seal WHEN EXISTS (SELECT 1 FROM seal WHERE survey = NEW.survey AND (seq = NEW.seq OR kind = NEW.kind AND record = NEW.record))
BEGIN SELECT RAISE (ABORT, 'a seal is never replaced'); END;

CREATE TRIGGER seal_is_not_updated BEFORE UPDATE ON seal BEGIN SELECT RAISE (ABORT, 'a seal is never changed'); END;

CREATE TABLE seal (
  survey TEXT    NOT NULL REFERENCES survey (id),
  seq    INTEGER NOT NULL CHECK (seq >= 1),
  kind   TEXT    NOT NULL CHECK (length(kind) >= 1),
  record TEXT    NOT NULL, -- the record's number or id
  sum    TEXT    NOT NULL CHECK (length(sum) = 64), -- of what it said
  prev   TEXT    NOT NULL CHECK (length(prev) = CASE seq WHEN 1 THEN 0 ELSE 64 END), -- hash of the seal before
  hash   TEXT    NOT NULL CHECK (length(hash) = 64),
  PRIMARY KEY (survey, seq),
  UNIQUE (survey, kind, record)
) STRICT, WITHOUT ROWID;

CREATE TABLE session (
  token_sha256 BLOB    NOT NULL PRIMARY KEY CHECK (length(token_sha256) = 32),
  person       TEXT    NOT NULL REFERENCES person (id),
  begun_at     INTEGER NOT NULL,
  seen_at      INTEGER NOT NULL -- to a few minutes
) STRICT, WITHOUT ROWID;

CREATE INDEX session_person ON session (person);

CREATE TRIGGER survey_keeps_its_id BEFORE UPDATE OF id ON survey WHEN NEW.id IS NOT OLD.id
BEGIN SELECT RAISE (ABORT, 'a survey keeps its id'); END;

CREATE TABLE survey (
  id          TEXT    NOT NULL PRIMARY KEY CHECK (length(id) = 36),
  title       TEXT    NOT NULL,
  address     TEXT    NOT NULL,
  client      TEXT    NOT NULL,
  contact     TEXT    NOT NULL,
  surveyor    TEXT    NOT NULL,
  visit_date  TEXT    NOT NULL,
  access      TEXT    NOT NULL,
  notes       TEXT    NOT NULL,
  version     INTEGER NOT NULL CHECK (version >= 1),
  created_at  INTEGER NOT NULL,
  updated_at  INTEGER NOT NULL,
  changed_at  INTEGER NOT NULL, -- of the survey or anything in it
  changed_seq INTEGER NOT NULL,
  last_photo  INTEGER NOT NULL DEFAULT 0, -- highest number ever given
  last_pin    INTEGER NOT NULL DEFAULT 0
, content_at INTEGER NOT NULL DEFAULT 0) STRICT;

CREATE INDEX survey_changed ON survey (changed_seq);

CREATE TRIGGER verification_is_not_deleted BEFORE DELETE ON verification WHEN NOT EXISTS (SELECT 1 FROM erasure WHERE survey = OLD.survey)
BEGIN SELECT RAISE (ABORT, 'a verification is never deleted'); END;

CREATE TRIGGER verification_is_not_replaced BEFORE INSERT ON verification WHEN EXISTS (SELECT 1 FROM verification WHERE id = NEW.id OR survey = NEW.survey AND seq = NEW.seq)
BEGIN SELECT RAISE (ABORT, 'a verification is never replaced'); END;

CREATE TRIGGER verification_is_not_updated BEFORE UPDATE ON verification BEGIN SELECT RAISE (ABORT, 'a verification is never changed'); END;

CREATE TRIGGER verification_tells_content AFTER INSERT ON verification
BEGIN UPDATE survey SET content_at = max(content_at, NEW.at) WHERE id = NEW.survey; END;

CREATE TABLE verification (
  id           TEXT    NOT NULL PRIMARY KEY CHECK (length(id) = 36),
  survey       TEXT    NOT NULL REFERENCES survey (id),
  seq          INTEGER NOT NULL CHECK (seq >= 1),
  pin          TEXT    NOT NULL,
  set_values   TEXT    NOT NULL CHECK (json_type(set_values) = 'object'),
  was_values   TEXT    NOT NULL CHECK (json_type(was_values) = 'object'),
  before_words TEXT    NOT NULL,
  withdraws    TEXT    NOT NULL,
  by           TEXT    NOT NULL CHECK (length(by) >= 1),
  at           INTEGER NOT NULL,
  UNIQUE (survey, seq)
) STRICT, WITHOUT ROWID;
