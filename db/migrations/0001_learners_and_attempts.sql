-- Times are Unix milliseconds, UTC.

CREATE TABLE learner (
    id         INTEGER PRIMARY KEY,
    local      INTEGER NOT NULL DEFAULT 0 CHECK (local IN (0, 1)), -- the one learner of personal use
    name       TEXT    NOT NULL,
    units      TEXT    NOT NULL DEFAULT 'us' CHECK (units IN ('us', 'si')),
    theme      TEXT    NOT NULL DEFAULT 'auto' CHECK (theme IN ('auto', 'light', 'dark')),
    created_at INTEGER NOT NULL
) STRICT;

CREATE UNIQUE INDEX one_local_learner ON learner (local) WHERE local = 1;

CREATE TABLE lesson_read (
    learner INTEGER NOT NULL REFERENCES learner (id),
    lesson  TEXT    NOT NULL,
    read_at INTEGER NOT NULL,
    PRIMARY KEY (learner, lesson)
) STRICT, WITHOUT ROWID;

-- A problem as it was posed to one learner. The problem itself is stored, not
-- its seed alone: a mark must be defensible after the family was rewritten.
CREATE TABLE posed (
    id          TEXT    PRIMARY KEY,
    learner     INTEGER NOT NULL REFERENCES learner (id),
    family      TEXT    NOT NULL,
    level       INTEGER NOT NULL,
    seed        INTEGER NOT NULL,
    hints_shown INTEGER NOT NULL DEFAULT 0,
    helped      INTEGER NOT NULL DEFAULT 0 CHECK (helped IN (0, 1)), -- example or solution was opened
    posed_at    INTEGER NOT NULL,
    problem     TEXT    NOT NULL CHECK (json_valid(problem)) -- last: it is long, and what lies behind it costs more to read
) STRICT;

CREATE INDEX posed_by_learner ON posed (learner, posed_at);

CREATE TABLE attempt (
    id             INTEGER PRIMARY KEY,
    posed          TEXT    NOT NULL REFERENCES posed (id),
    submission_key TEXT    NOT NULL, -- one form, one attempt
    answers        TEXT    NOT NULL CHECK (json_valid(answers)),
    verdict        TEXT    NOT NULL CHECK (json_valid(verdict)),
    score          REAL    NOT NULL CHECK (score BETWEEN 0 AND 1),
    aided          INTEGER NOT NULL CHECK (aided IN (0, 1)), -- with hints, example or solution
    first          INTEGER NOT NULL CHECK (first IN (0, 1)), -- the first at this problem
    made_at        INTEGER NOT NULL,
    UNIQUE (posed, submission_key)
) STRICT;

CREATE TRIGGER attempt_is_append_only_update BEFORE UPDATE ON attempt
BEGIN SELECT raise(ABORT, 'attempts are append-only'); END;

CREATE TRIGGER attempt_is_append_only_delete BEFORE DELETE ON attempt
BEGIN SELECT raise(ABORT, 'attempts are append-only'); END;

-- Derived from attempts; rebuilt by a command.
CREATE TABLE skill_estimate (
    learner     INTEGER NOT NULL REFERENCES learner (id),
    skill       TEXT    NOT NULL,
    probability REAL    NOT NULL CHECK (probability BETWEEN 0 AND 1),
    attempts    INTEGER NOT NULL,
    right_count INTEGER NOT NULL,
    last_at     INTEGER NOT NULL,
    gap_ms      INTEGER NOT NULL,
    PRIMARY KEY (learner, skill)
) STRICT, WITHOUT ROWID;
