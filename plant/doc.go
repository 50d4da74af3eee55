// Package plant holds the words of the trade as types: identifiers, quantities, times and money, and the rows that
// describe plants, calendars, work centres, stations and people. It computes nothing; it is the vocabulary that every
// other package speaks. Rows carry struct tags that describe their columns; package book reads them (see book.Tables).
package plant
