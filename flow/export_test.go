package flow

// StartFrom is start, for tests.
var StartFrom = start

// For tests of PINs and tokens: the rules, and how many PINs were compared with a hash.
var (
	CheckNewPIN = checkNewPIN
	IsToken     = isToken
	TokenHash   = tokenHash
)

func (s *Shop) HashedPINs() int64 { return s.pins.hashed.Load() }
