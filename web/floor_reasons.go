package web

// PauseReasons is why work stops for a while. Whatever else there is goes into the note.
func (p *floorStation) PauseReasons() []string {
	return []string{"break", "end of shift", "another job first", "waits for the crane", "missing part", "drawing question", "machine trouble", "other"}
}

// TroubleReasons is what can keep people from working.
func (p *floorStation) TroubleReasons() []string {
	return []string{"missing part", "wrong part", "drawing question", "waits for the crane", "machine trouble", "other"}
}

// DownReasons is what can stop a station.
func (p *floorStation) DownReasons() []string {
	return []string{"breakdown", "tool or fixture broken", "no power, air or gas", "not safe to work", "other"}
}

// ScrapReasons is why pieces are scrap.
func (p *floorStation) ScrapReasons() []string {
	return []string{"weld fault", "out of size", "surface or paint", "wrong material", "damaged", "other"}
}

// ShortReasons is why an operation begins short of its kit.
func (p *floorStation) ShortReasons() []string {
	return []string{"the part is here", "it comes in time", "another part fits", "told by the foreman", "other"}
}

// UndoReasons is why something recorded was a mistake.
func (p *floorStation) UndoReasons() []string {
	return []string{"tapped by mistake", "wrong job", "wrong count", "wrong person", "other"}
}
