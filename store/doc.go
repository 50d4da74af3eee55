// Package store keeps the shop's memory in a database: the shop book, its change history, acts, plans, planning runs,
// users and sessions. The embedded SQLite file is the default; the SQL keeps to what SQLite and PostgreSQL share, so that
// a server can take its place. There is one writer and a pool of readers; a write is one short transaction.
package store
