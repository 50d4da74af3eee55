// Package tackline holds only the tests of the house rules; the program is cmd/tackline.
package tackline
