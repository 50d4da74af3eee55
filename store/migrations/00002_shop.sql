-- +goose Up
CREATE TABLE counters (
    name TEXT NOT NULL PRIMARY KEY,
    value BIGINT NOT NULL
);

INSERT INTO counters (name, value) VALUES ('book', 0), ('act', 0), ('change', 0), ('plan', 0), ('run', 0), ('adoption', 0);

CREATE TABLE acts (
    id BIGINT NOT NULL PRIMARY KEY,
    at BIGINT NOT NULL,
    who TEXT NOT NULL,
    kind TEXT NOT NULL,
    note TEXT NOT NULL
);

CREATE TABLE changes (
    id BIGINT NOT NULL PRIMARY KEY,
    act BIGINT NOT NULL REFERENCES acts (id),
    revision BIGINT NOT NULL,
    table_name TEXT NOT NULL,
    row_key TEXT NOT NULL,
    before_cells TEXT NOT NULL,
    after_cells TEXT NOT NULL
);

CREATE INDEX changes_by_row ON changes (table_name, row_key, id);
CREATE INDEX changes_by_act ON changes (act);

CREATE TABLE plans (
    id BIGINT NOT NULL PRIMARY KEY,
    name TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('draft', 'adopted', 'past')),
    made_by TEXT NOT NULL,
    made BIGINT NOT NULL,
    adopted BIGINT NOT NULL,
    starts_at BIGINT NOT NULL,
    revision BIGINT NOT NULL,
    status TEXT NOT NULL,
    rule TEXT NOT NULL,
    seed BIGINT NOT NULL,
    work BIGINT NOT NULL,
    score TEXT NOT NULL,
    assumed TEXT NOT NULL
);

CREATE UNIQUE INDEX plans_one_adopted ON plans (state) WHERE state = 'adopted';

CREATE TABLE adoptions (
    id BIGINT NOT NULL PRIMARY KEY,
    plan_id BIGINT NOT NULL,
    before_id BIGINT NOT NULL,
    act BIGINT NOT NULL REFERENCES acts (id),
    revision BIGINT NOT NULL,
    undone BIGINT NOT NULL
);

CREATE TABLE plan_slots (
    plan_id BIGINT NOT NULL REFERENCES plans (id) ON DELETE CASCADE,
    seq BIGINT NOT NULL,
    job TEXT NOT NULL,
    op BIGINT NOT NULL,
    station TEXT NOT NULL,
    setup_start BIGINT NOT NULL,
    load_start BIGINT NOT NULL,
    run_start BIGINT NOT NULL,
    unload_start BIGINT NOT NULL,
    slot_end BIGINT NOT NULL,
    batch BIGINT NOT NULL,
    why TEXT NOT NULL,
    PRIMARY KEY (plan_id, seq)
);

CREATE TABLE plan_pegs (
    plan_id BIGINT NOT NULL REFERENCES plans (id) ON DELETE CASCADE,
    seq BIGINT NOT NULL,
    job TEXT NOT NULL,
    op BIGINT NOT NULL,
    item TEXT NOT NULL,
    no BIGINT NOT NULL,
    plant TEXT NOT NULL,
    kind TEXT NOT NULL,
    source TEXT NOT NULL,
    qty BIGINT NOT NULL,
    at BIGINT NOT NULL,
    PRIMARY KEY (plan_id, seq)
);

CREATE TABLE plan_runs (
    id BIGINT NOT NULL PRIMARY KEY,
    job BIGINT NOT NULL,
    name TEXT NOT NULL,
    asked_by TEXT NOT NULL,
    seconds DOUBLE PRECISION NOT NULL,
    workers BIGINT NOT NULL,
    seed BIGINT NOT NULL,
    work BIGINT NOT NULL,
    anew BOOLEAN NOT NULL,
    assumed TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('waiting', 'running', 'done', 'failed', 'cancelled')),
    done DOUBLE PRECISION NOT NULL,
    progress TEXT NOT NULL,
    error TEXT NOT NULL,
    plan_id BIGINT NOT NULL,
    asked BIGINT NOT NULL,
    started BIGINT NOT NULL,
    ended BIGINT NOT NULL
);

CREATE TABLE users (
    name TEXT NOT NULL PRIMARY KEY,
    role TEXT NOT NULL,
    hash TEXT NOT NULL,
    must_change BOOLEAN NOT NULL,
    disabled BOOLEAN NOT NULL,
    made BIGINT NOT NULL,
    failures BIGINT NOT NULL,
    locked_until BIGINT NOT NULL
);

CREATE TABLE sessions (
    token TEXT NOT NULL PRIMARY KEY,
    data TEXT NOT NULL,
    expires BIGINT NOT NULL
);

CREATE INDEX sessions_by_expiry ON sessions (expires);
