-- +goose Up
CREATE TABLE "b_plants" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "plant" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "time_zone" TEXT NOT NULL,
    "units" TEXT NOT NULL,
    UNIQUE ("plant")
);

CREATE TABLE "b_settings" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "setting" TEXT NOT NULL,
    "value" TEXT NOT NULL,
    UNIQUE ("setting")
);

CREATE TABLE "b_calendars" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "calendar" TEXT NOT NULL,
    "plant" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    UNIQUE ("calendar")
);

CREATE TABLE "b_shifts" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "calendar" TEXT NOT NULL,
    "shift" TEXT NOT NULL,
    "days" TEXT NOT NULL,
    "from" BIGINT NOT NULL,
    "to" BIGINT NOT NULL,
    UNIQUE ("calendar", "shift", "days", "from")
);

CREATE TABLE "b_exceptions" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "calendar" TEXT NOT NULL,
    "station" TEXT NOT NULL,
    "from" TEXT NOT NULL,
    "to" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "reason" TEXT NOT NULL,
    UNIQUE ("calendar", "station", "from")
);

CREATE TABLE "b_centres" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "centre" TEXT NOT NULL,
    "plant" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "takes" TEXT NOT NULL,
    "capacity_unit" TEXT NOT NULL,
    "setup_default" DOUBLE PRECISION NOT NULL,
    "order" BIGINT NOT NULL,
    UNIQUE ("centre")
);

CREATE TABLE "b_stations" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "station" TEXT NOT NULL,
    "centre" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "calendar" TEXT NOT NULL,
    "speed" DOUBLE PRECISION NOT NULL,
    "pallets" BIGINT NOT NULL,
    "capacity" BIGINT NOT NULL,
    "initial_family" TEXT NOT NULL,
    UNIQUE ("station")
);

CREATE TABLE "b_setups" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "centre" TEXT NOT NULL,
    "from_family" TEXT NOT NULL,
    "to_family" TEXT NOT NULL,
    "minutes" DOUBLE PRECISION NOT NULL,
    UNIQUE ("centre", "from_family", "to_family")
);

CREATE TABLE "b_pools" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "pool" TEXT NOT NULL,
    "plant" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "qualification" TEXT NOT NULL,
    "extra_heads" BIGINT NOT NULL,
    "extra_calendar" TEXT NOT NULL,
    UNIQUE ("pool")
);

CREATE TABLE "b_people" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "person" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "pool" TEXT NOT NULL,
    "calendar" TEXT NOT NULL,
    UNIQUE ("person")
);

CREATE TABLE "b_qualifications" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "person" TEXT NOT NULL,
    "qualification" TEXT NOT NULL,
    "expires" TEXT NOT NULL,
    UNIQUE ("person", "qualification")
);

CREATE TABLE "b_absences" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "person" TEXT NOT NULL,
    "from" TEXT NOT NULL,
    "to" TEXT NOT NULL,
    "reason" TEXT NOT NULL,
    UNIQUE ("person", "from")
);

CREATE TABLE "b_transits" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "from_plant" TEXT NOT NULL,
    "to_plant" TEXT NOT NULL,
    "days" TEXT NOT NULL,
    "departs" BIGINT NOT NULL,
    "transit_hours" DOUBLE PRECISION NOT NULL,
    UNIQUE ("from_plant", "to_plant")
);

CREATE TABLE "b_items" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "item" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "unit" TEXT NOT NULL,
    "plant" TEXT NOT NULL,
    "policy" TEXT NOT NULL,
    "product" BOOLEAN NOT NULL,
    "product_family" TEXT NOT NULL,
    "mass" DOUBLE PRECISION NOT NULL,
    "cost" BIGINT NOT NULL,
    "lead_days" DOUBLE PRECISION NOT NULL,
    "lot_rule" TEXT NOT NULL,
    "lot_quantity" BIGINT NOT NULL,
    "lot_multiple" BIGINT NOT NULL,
    "safety_stock" BIGINT NOT NULL,
    "scrap" DOUBLE PRECISION NOT NULL,
    UNIQUE ("item")
);

CREATE TABLE "b_attributes" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "item" TEXT NOT NULL,
    "attribute" TEXT NOT NULL,
    "value" TEXT NOT NULL,
    "unit" TEXT NOT NULL,
    UNIQUE ("item", "attribute")
);

CREATE TABLE "b_options" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "product" TEXT NOT NULL,
    "option" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "kind" TEXT NOT NULL,
    "values" TEXT NOT NULL,
    "default" TEXT NOT NULL,
    UNIQUE ("product", "option")
);

CREATE TABLE "b_rules" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "product" TEXT NOT NULL,
    "rule" TEXT NOT NULL,
    "must" TEXT NOT NULL,
    "says" TEXT NOT NULL,
    UNIQUE ("product", "rule")
);

CREATE TABLE "b_parts" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "parent" TEXT NOT NULL,
    "line" BIGINT NOT NULL,
    "component" TEXT NOT NULL,
    "quantity" TEXT NOT NULL,
    "unit" TEXT NOT NULL,
    "op" BIGINT NOT NULL,
    "when" TEXT NOT NULL,
    "set" BOOLEAN NOT NULL,
    UNIQUE ("parent", "line")
);

CREATE TABLE "b_operations" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "item" TEXT NOT NULL,
    "op" BIGINT NOT NULL,
    "name" TEXT NOT NULL,
    "centre" TEXT NOT NULL,
    "nature" TEXT NOT NULL,
    "closed" TEXT NOT NULL,
    "when" TEXT NOT NULL,
    "setup" TEXT NOT NULL,
    "load" TEXT NOT NULL,
    "run" TEXT NOT NULL,
    "unload" TEXT NOT NULL,
    "setup_family" TEXT NOT NULL,
    "batch_key" TEXT NOT NULL,
    "size" TEXT NOT NULL,
    "transfer_quantity" BIGINT NOT NULL,
    "program" TEXT NOT NULL,
    "fixture" TEXT NOT NULL,
    "drawing" TEXT NOT NULL,
    "hold_point" BOOLEAN NOT NULL,
    "repair" DOUBLE PRECISION NOT NULL,
    "repair_ops" TEXT NOT NULL,
    "note" TEXT NOT NULL,
    UNIQUE ("item", "op")
);

CREATE TABLE "b_crews" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "item" TEXT NOT NULL,
    "op" BIGINT NOT NULL,
    "pool" TEXT NOT NULL,
    "heads" BIGINT NOT NULL,
    "for" TEXT NOT NULL,
    UNIQUE ("item", "op", "pool")
);

CREATE TABLE "b_able" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "item" TEXT NOT NULL,
    "op" BIGINT NOT NULL,
    "station" TEXT NOT NULL,
    "speed" DOUBLE PRECISION NOT NULL,
    UNIQUE ("item", "op", "station")
);

CREATE TABLE "b_programs" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "program" TEXT NOT NULL,
    "revision" TEXT NOT NULL,
    "approved" BOOLEAN NOT NULL,
    "due" TEXT NOT NULL,
    "note" TEXT NOT NULL,
    UNIQUE ("program")
);

CREATE TABLE "b_drawings" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "drawing" TEXT NOT NULL,
    "revision" TEXT NOT NULL,
    "approved" BOOLEAN NOT NULL,
    "due" TEXT NOT NULL,
    "note" TEXT NOT NULL,
    UNIQUE ("drawing")
);

CREATE TABLE "b_lots" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "lot" TEXT NOT NULL,
    "item" TEXT NOT NULL,
    "plant" TEXT NOT NULL,
    "quantity" BIGINT NOT NULL,
    "heat" TEXT NOT NULL,
    "place" TEXT NOT NULL,
    "received" TEXT NOT NULL,
    UNIQUE ("lot")
);

CREATE TABLE "b_receipts" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "receipt" TEXT NOT NULL,
    "item" TEXT NOT NULL,
    "plant" TEXT NOT NULL,
    "quantity" BIGINT NOT NULL,
    "promised" TEXT NOT NULL,
    "expected" TEXT NOT NULL,
    "from" TEXT NOT NULL,
    UNIQUE ("receipt")
);

CREATE TABLE "b_classes" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "class" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "late_per_day" BIGINT NOT NULL,
    UNIQUE ("class")
);

CREATE TABLE "b_orders" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "order" TEXT NOT NULL,
    "customer" TEXT NOT NULL,
    "plant" TEXT NOT NULL,
    "class" TEXT NOT NULL,
    "received" TEXT NOT NULL,
    "note" TEXT NOT NULL,
    UNIQUE ("order")
);

CREATE TABLE "b_lines" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "order" TEXT NOT NULL,
    "line" BIGINT NOT NULL,
    "product" TEXT NOT NULL,
    "quantity" BIGINT NOT NULL,
    "due" TEXT NOT NULL,
    "not_before" TEXT NOT NULL,
    "options" TEXT NOT NULL,
    "priority" BIGINT NOT NULL,
    "state" TEXT NOT NULL,
    "shipped_at" TEXT NOT NULL,
    UNIQUE ("order", "line")
);

CREATE TABLE "b_releases" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "job" TEXT NOT NULL,
    "item" TEXT NOT NULL,
    "pieces" BIGINT NOT NULL,
    "released" TEXT NOT NULL,
    UNIQUE ("job")
);

CREATE TABLE "b_work" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "job" TEXT NOT NULL,
    "op" BIGINT NOT NULL,
    "state" TEXT NOT NULL,
    "station" TEXT NOT NULL,
    "setup_start" TEXT NOT NULL,
    "start" TEXT NOT NULL,
    "end" TEXT NOT NULL,
    "note" TEXT NOT NULL,
    UNIQUE ("job", "op")
);

CREATE TABLE "b_pins" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "job" TEXT NOT NULL,
    "op" BIGINT NOT NULL,
    "station" TEXT NOT NULL,
    "begin" TEXT NOT NULL,
    "note" TEXT NOT NULL,
    "by" TEXT NOT NULL,
    UNIQUE ("job", "op")
);

CREATE TABLE "b_forbids" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "job" TEXT NOT NULL,
    "op" BIGINT NOT NULL,
    "station" TEXT NOT NULL,
    "not_before" TEXT NOT NULL,
    "note" TEXT NOT NULL,
    "by" TEXT NOT NULL,
    UNIQUE ("job", "op", "station")
);

CREATE TABLE "b_splits" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "job" TEXT NOT NULL,
    "part" TEXT NOT NULL,
    "pieces" BIGINT NOT NULL,
    "note" TEXT NOT NULL,
    "by" TEXT NOT NULL,
    UNIQUE ("job", "part")
);

CREATE TABLE "b_priorities" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "of" TEXT NOT NULL,
    "name" TEXT NOT NULL,
    "factor" DOUBLE PRECISION NOT NULL,
    "note" TEXT NOT NULL,
    "by" TEXT NOT NULL,
    UNIQUE ("of", "name")
);

CREATE TABLE "b_finished" (
    seq BIGINT NOT NULL PRIMARY KEY,
    "unit" TEXT NOT NULL,
    "item" TEXT NOT NULL,
    "op" BIGINT NOT NULL,
    "station" TEXT NOT NULL,
    "pieces" BIGINT NOT NULL,
    "planned_end" TEXT NOT NULL,
    "start" TEXT NOT NULL,
    "end" TEXT NOT NULL,
    "planned" DOUBLE PRECISION NOT NULL,
    "actual" DOUBLE PRECISION NOT NULL,
    "result" TEXT NOT NULL,
    UNIQUE ("unit", "item", "op")
);
