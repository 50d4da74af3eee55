// Package estimate is the arithmetic of the trade: weld, turn, drill, tap, gun drill, burnish, blast, coat, dry, mass,
// cylinder force and speed. Every function is pure, says its formula, units, range and source, and is tested against
// published values.
package estimate
