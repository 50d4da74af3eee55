// Package demo makes the demo plant from a seed: Brackwater builds tine grabs, log grapples and clamshells and makes
// cylinders and pins for itself and for Orrin Quay; Fellgate cuts and bends plate kits for it. All names, sizes and numbers
// are invented. A few things are wrong on purpose, so that every sheet has something to say (see wrong.go).
package demo
