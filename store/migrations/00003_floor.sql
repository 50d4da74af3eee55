-- +goose Up
CREATE TABLE floor_chains (
    plant TEXT NOT NULL PRIMARY KEY,
    number BIGINT NOT NULL,
    hash TEXT NOT NULL
);

CREATE TABLE floor_events (
    seq BIGINT NOT NULL PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    plant TEXT NOT NULL,
    number BIGINT NOT NULL,
    got BIGINT NOT NULL,
    at BIGINT NOT NULL,
    kind TEXT NOT NULL,
    device TEXT NOT NULL,
    person TEXT NOT NULL,
    job TEXT NOT NULL,
    op BIGINT NOT NULL,
    station TEXT NOT NULL,
    body TEXT NOT NULL,
    hash TEXT NOT NULL,
    UNIQUE (plant, number)
);

CREATE INDEX floor_events_by_op ON floor_events (job, op, seq);
CREATE INDEX floor_events_by_station ON floor_events (station, seq);

CREATE TABLE floor_ops (
    job TEXT NOT NULL,
    op BIGINT NOT NULL,
    phase TEXT NOT NULL,
    station TEXT NOT NULL,
    state TEXT NOT NULL,
    PRIMARY KEY (job, op)
);

CREATE TABLE floor_stations (
    station TEXT NOT NULL PRIMARY KEY,
    state TEXT NOT NULL
);

ALTER TABLE plans ADD COLUMN facts TEXT NOT NULL DEFAULT '';

INSERT INTO counters (name, value) VALUES ('event', 0);
