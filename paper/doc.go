// Package paper writes what the shop carries on paper, as PDF: the traveller that goes with a job. Papers look like workshop drawings: ink
// lines, section by section, a title block in the lower right corner. Each page can be read without the program, and each code on it
// can be scanned.
//
// Type: the Go fonts (Bigelow & Holmes, 2016), which hold Latin, Greek and Cyrillic letters.
package paper
