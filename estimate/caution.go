package estimate

// Topics of Caution.
const (
	Pressure = "pressure"
	Lifting  = "lifting"
	Welding  = "welding"
	Preheats = "preheat"
	Blast    = "blasting"
	Paint    = "paint"
	Bolting  = "bolting"
	Cutting  = "cutting"
)

// Caution gives what to mind before a result of a topic is used, or nothing for a topic that is not known. The results plan
// work; none of them approves a design, a lift, a test or a procedure.
func Caution(topic string) string {
	switch topic {
	case Pressure:
		return "Oil and air under pressure can kill. A calculated figure does not approve a part or a test: use the drawing, the " +
			"qualified test procedure, guards and gauges in date, and the local pressure rules; a licensed engineer decides. " +
			"A shut rod side builds up more than the pressure of the bore side."
	case Lifting:
		return "A lift can kill. A calculated figure does not approve a lift: use the plate on the gear, the sling table of its maker, " +
			"and the local rules; a qualified person plans the lift. Nobody stands under the load."
	case Welding:
		return "Arc, fumes, heat and current injure. Weld only to a qualified procedure with qualified people, with extraction, screens " +
			"and a fire watch, to the local code. A time or a mass here is for planning, not a procedure."
	case Preheats:
		return "Too little preheat cracks welds, hours later. The qualified welding procedure and the code rule; above a carbon " +
			"equivalent of about 0.45 take preheat as needed until a procedure says otherwise (common practice)."
	case Blast:
		return "Blasting injures eyes, lungs and skin. Closed cabinet or supplied air, dead-man control, and the local rules for dust."
	case Paint:
		return "Paint vapour burns and poisons; two-pack paints can sensitise for life. Ventilation, masks, no sparks, and the data sheet " +
			"and the local rules come before any figure here."
	case Bolting:
		return "A wrong torque breaks bolts and drops loads. The drawing, the lubricant and the code rule; calibrated tools; a licensed " +
			"engineer decides for joints that carry people or lifts."
	case Cutting:
		return "Turning work and tools catch and throw. Guards shut, speed within the limit of chuck and tool, and the local rules."
	}
	return ""
}
