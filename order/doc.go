// Package order holds what is asked: orders with their class, their lines and the options chosen on each line, and what a
// planner decides by hand: pins, forbidden stations and times, split lots, priorities.
package order
