-- The record: append-only events, and what is needed to go on from them.
-- Portable SQL; column types are those that every database knows.

-- The battles, and which of them are open. Everything here follows from their events.
CREATE TABLE battles (
    id      TEXT    NOT NULL PRIMARY KEY,
    place   TEXT    NOT NULL,
    name    TEXT    NOT NULL,
    is_open INTEGER NOT NULL
);

-- One battle at a time in a place.
CREATE UNIQUE INDEX one_open_battle ON battles (place) WHERE is_open = 1;
CREATE INDEX battles_by_place ON battles (place);

-- The events. `text` is what is hashed. The primary key lets nobody fork a battle, `asked` makes
-- asking again harmless, and `owed_to` is the place that is still owed the event's post.
CREATE TABLE events (
    battle  TEXT    NOT NULL REFERENCES battles (id),
    seq     INTEGER NOT NULL,
    asked   TEXT    NOT NULL,
    text    TEXT    NOT NULL,
    owed_to TEXT,
    PRIMARY KEY (battle, seq),
    UNIQUE (battle, asked)
);

CREATE INDEX owed_posts ON events (owed_to) WHERE owed_to IS NOT NULL;

-- What the dice hang from. A secret leaves this table only link by link.
CREATE TABLE chains (
    anchor TEXT    NOT NULL PRIMARY KEY,
    battle TEXT    NOT NULL REFERENCES battles (id),
    links  INTEGER NOT NULL,
    secret BLOB    NOT NULL
);

-- Rules files by their SHA-256, as they were read.
CREATE TABLE rules (
    sha256 TEXT NOT NULL PRIMARY KEY,
    name   TEXT NOT NULL,
    text   TEXT NOT NULL
);
