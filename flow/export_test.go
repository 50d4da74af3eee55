package flow

// StartFrom is start, for tests.
var StartFrom = start
