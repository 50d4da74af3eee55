// Package exchange reads and writes the shop book as a workbook (XLSX) or as a folder of CSV files with the same tables,
// and writes plans as CSV files. Reading is all or nothing: a book comes out only if every cell reads and the book passes
// its checks; otherwise every fault comes out, with sheet, row and column.
package exchange
