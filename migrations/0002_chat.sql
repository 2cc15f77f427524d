-- What the chat keeps besides the record: who is who, who may do what, and how a post is to go.
-- None of it is hashed, so all of it can be taken away again without touching a battle.

-- The record calls people “person-<n>”; only this table knows who that is on the platform.
-- Taking a person's data away empties `platform`; the number is never given out again.
CREATE TABLE people (
    n        INTEGER NOT NULL PRIMARY KEY,
    platform TEXT    UNIQUE
);

-- Who besides the opener may act in a battle: a person or a role, for a side or (with '') for all.
CREATE TABLE officers (
    battle TEXT NOT NULL REFERENCES battles (id),
    who    TEXT NOT NULL,
    side   TEXT NOT NULL,
    PRIMARY KEY (battle, who, side)
);

-- What a server's battles begin with unless asked otherwise.
CREATE TABLE servers (
    server TEXT NOT NULL PRIMARY KEY,
    scale  INTEGER,
    rules  TEXT
);

-- How the front wanted an owed post to go, in its own words; emptied once the post is taken.
ALTER TABLE events ADD COLUMN owed_via TEXT;

-- The post of a place that shows its battle as it stands, and is kept up to date.
CREATE TABLE boards (
    place   TEXT NOT NULL PRIMARY KEY,
    message TEXT NOT NULL
);
