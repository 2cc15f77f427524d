-- The record: append-only events, and what is needed to go on from them.
--
-- Whatever order matters has a column of its own, `n`. A place stands as its text, which is unique,
-- and as its parts, by which servers are told apart. Ids of a platform are its 64 bits as a signed
-- number.

-- “drum”: by this number a record is told from another program's file.
PRAGMA application_id = 1685222765;

-- The battles, in the order in which they came. `seq` and `head` are the number and the SHA-256 of
-- the latest event; everything here follows from the events.
CREATE TABLE battles (
    n        INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    id       TEXT    NOT NULL UNIQUE,
    place    TEXT    NOT NULL,
    platform TEXT,
    server   BIGINT,
    channel  BIGINT,
    quick    BOOLEAN NOT NULL,
    name     TEXT    NOT NULL,
    is_open  BOOLEAN NOT NULL,
    seq      BIGINT  NOT NULL,
    head     TEXT    NOT NULL
);

-- One battle at a time in a place.
CREATE UNIQUE INDEX one_open_battle ON battles (place) WHERE is_open;
CREATE INDEX battles_by_place ON battles (place);
CREATE INDEX battles_by_server ON battles (platform, server);

-- The events; `text` is what is hashed, and no row is ever changed. The primary key lets nobody
-- fork a battle. `roll` is the number of the roll that the event threw, if it threw one.
-- An erased battle's row goes at once and its events after it, so there is no reference to it.
CREATE TABLE events (
    battle TEXT   NOT NULL,
    seq    BIGINT NOT NULL,
    roll   BIGINT,
    text   TEXT   NOT NULL,
    PRIMARY KEY (battle, seq)
);

CREATE UNIQUE INDEX events_by_roll ON events (battle, roll) WHERE roll IS NOT NULL;

-- The requests that were answered: an id is unique at its place across battles, and a place's quick
-- rulings are at that very place, so that asking again never throws again. `sha256` is that of the
-- request as it was asked. An imported battle's requests were asked elsewhere and are not here.
CREATE TABLE ids (
    place  TEXT   NOT NULL,
    asked  TEXT   NOT NULL,
    battle TEXT   NOT NULL,
    seq    BIGINT NOT NULL,
    sha256 TEXT   NOT NULL,
    PRIMARY KEY (place, asked)
) WITHOUT ROWID;

-- The posts that are owed, oldest first, each until it is taken. `route` is how the front wants it
-- to go, in the front's own words. No number is given twice: by the latest is known how far the
-- record has come. Each event owes one post, and few are owed at a time: an index would only be one
-- more page to write with every event.
CREATE TABLE owed (
    n        INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    battle   TEXT    NOT NULL,
    seq      BIGINT  NOT NULL,
    place    TEXT    NOT NULL,
    platform TEXT,
    server   BIGINT,
    route    TEXT
);

-- How many requests each of those who have to do with a battle has to their name: none if they
-- were only given an office in it.
CREATE TABLE askings (
    battle   TEXT   NOT NULL,
    who      TEXT   NOT NULL,
    requests BIGINT NOT NULL,
    PRIMARY KEY (battle, who)
) WITHOUT ROWID;

CREATE INDEX askings_by_who ON askings (who);

-- What nobody may know yet, by kind. A chain's secret (`links`) is found by its anchor and leaves
-- this table only link by link; `extra` is then how many links it has.
CREATE TABLE secrets (
    battle TEXT NOT NULL REFERENCES battles (id),
    kind   TEXT NOT NULL,
    key    TEXT NOT NULL,
    bytes  BLOB NOT NULL,
    extra  TEXT,
    PRIMARY KEY (battle, kind, key)
);

-- Rules files by their SHA-256, as they were read.
CREATE TABLE rules (
    sha256 TEXT NOT NULL PRIMARY KEY,
    name   TEXT NOT NULL,
    text   TEXT NOT NULL
);

-- The record calls people “person-<n>”; only this table knows who that is on a platform. Taking a
-- person's data away empties the other columns; the number is never given out again.
CREATE TABLE people (
    n        INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    platform TEXT,
    user_id  BIGINT,
    UNIQUE (platform, user_id)
);

-- What a server's battles begin with unless asked otherwise.
CREATE TABLE servers (
    platform TEXT   NOT NULL,
    server   BIGINT NOT NULL,
    scale    BIGINT,
    rules    TEXT,
    PRIMARY KEY (platform, server)
);

-- The post of a place that shows its battle as it stands, and is kept up to date.
CREATE TABLE boards (
    n        INTEGER NOT NULL PRIMARY KEY,
    place    TEXT    NOT NULL UNIQUE,
    platform TEXT,
    server   BIGINT,
    message  TEXT    NOT NULL
);

-- Battles that were erased and whose events have still to go, bit by bit, and the ids that they
-- answered at their place.
CREATE TABLE erasing (
    battle TEXT NOT NULL PRIMARY KEY,
    place  TEXT NOT NULL
);

-- An event with all that it writes, as one row and so in one statement: its own row, the id that it
-- answers, the post that it owes, one more to the name of whoever asked, and where its battle stands
-- now. Whoever is given an office has to do with the battle.
-- It is refused where the battle is no longer there, or does not stand where it was thought to, and
-- where one of the two people has just had their id taken away.
CREATE VIEW appending AS
    SELECT NULL AS battle, NULL AS seq, NULL AS roll, NULL AS text, NULL AS answers_at,
           NULL AS asked, NULL AS sha256, NULL AS place, NULL AS platform, NULL AS server,
           NULL AS route, NULL AS who, NULL AS head, NULL AS is_open, NULL AS requests,
           NULL AS person, NULL AS appointed, NULL AS appointee;

CREATE TRIGGER append INSTEAD OF INSERT ON appending BEGIN
    SELECT RAISE(ABORT, 'overtaken')
        WHERE NOT EXISTS (SELECT 1 FROM battles WHERE id = NEW.battle AND seq = NEW.seq - 1)
        OR EXISTS (SELECT 1 FROM people
            WHERE n IN (NEW.person, NEW.appointee) AND user_id IS NULL);
    INSERT INTO events (battle, seq, roll, text)
        VALUES (NEW.battle, NEW.seq, NEW.roll, NEW.text);
    INSERT INTO ids (place, asked, battle, seq, sha256)
        VALUES (NEW.answers_at, NEW.asked, NEW.battle, NEW.seq, NEW.sha256);
    INSERT INTO owed (battle, seq, place, platform, server, route)
        VALUES (NEW.battle, NEW.seq, NEW.place, NEW.platform, NEW.server, NEW.route);
    INSERT INTO askings (battle, who, requests) VALUES (NEW.battle, NEW.who, NEW.requests)
        ON CONFLICT (battle, who) DO UPDATE SET requests = askings.requests + excluded.requests;
    INSERT INTO askings (battle, who, requests) SELECT NEW.battle, NEW.appointed, 0
        WHERE NEW.appointed IS NOT NULL ON CONFLICT DO NOTHING;
    UPDATE battles SET seq = NEW.seq, head = NEW.head WHERE id = NEW.battle;
    -- Apart from the rest, because the index of open battles is written with it.
    UPDATE battles SET is_open = NEW.is_open
        WHERE id = NEW.battle AND NEW.is_open IS NOT NULL;
END;
