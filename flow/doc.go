// Package flow holds the use cases, a file and a function for each act: import a workbook, edit a row, plan, adopt, export.
// Each loads in one read transaction, computes with no transaction open, checks, and saves in one short write transaction
// that refuses if the loaded revision has moved.
package flow
