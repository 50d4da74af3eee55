// Package order holds what is asked: orders with their class, their lines and the options chosen on each line.
package order
