-- +goose Up
CREATE TABLE person_pins (
    person TEXT NOT NULL PRIMARY KEY,
    hash TEXT NOT NULL,
    key_mark TEXT NOT NULL,
    set_at BIGINT NOT NULL
);

CREATE TABLE pin_tries (
    kind TEXT NOT NULL,
    name TEXT NOT NULL,
    failures BIGINT NOT NULL,
    since BIGINT NOT NULL,
    last BIGINT NOT NULL,
    locked_until BIGINT NOT NULL,
    PRIMARY KEY (kind, name)
);

CREATE TABLE devices (
    id TEXT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL UNIQUE,
    plant TEXT NOT NULL,
    station TEXT NOT NULL,
    token_hash TEXT NOT NULL UNIQUE,
    enrolled BIGINT NOT NULL,
    opened BIGINT NOT NULL,
    link_until BIGINT NOT NULL,
    seen BIGINT NOT NULL,
    disabled BOOLEAN NOT NULL
);
