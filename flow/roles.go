package flow

import "tackline/fault"

// Roles of users.
const (
	Manager     = "manager"
	Planner     = "planner"
	Materials   = "materials"
	Operator    = "operator"
	Inspector   = "inspector"
	Shipper     = "shipper"
	Maintenance = "maintenance"
	Viewer      = "viewer"
)

// Roles gives every role, in the order of lists.
func Roles() []string {
	return []string{Manager, Planner, Materials, Operator, Inspector, Shipper, Maintenance, Viewer}
}

// Act is something that a role may or may not do.
type Act string

// Acts that need leave. Editing the book needs leave for its table; see MayEdit.
const (
	MayLook       Act = "look at plans and the shop book"
	MayExport     Act = "export the shop book and plans"
	MayImport     Act = "import a shop book"
	MayPlan       Act = "make plans"
	MayAdopt      Act = "adopt plans"
	MayKeepPeople Act = "keep users"

	MayKeepTerminals Act = "enrol terminals"
)

var everyone = Roles()

// leave says which roles may do an act.
var leave = map[Act][]string{
	MayLook:       everyone,
	MayExport:     everyone,
	MayImport:     {Manager, Planner},
	MayPlan:       {Manager, Planner},
	MayAdopt:      {Manager, Planner},
	MayKeepPeople: {Manager},

	MayKeepTerminals: {Manager},
}

// tableLeave says which roles, beside manager and planner, may edit a table of the book.
var tableLeave = map[string][]string{
	"exceptions":     {Maintenance},
	"lots":           {Materials, Shipper},
	"receipts":       {Materials},
	"work":           {Operator, Inspector, Maintenance},
	"finished":       {Inspector},
	"programs":       {Inspector},
	"drawings":       {Inspector},
	"qualifications": {Inspector},
	"lines":          {Shipper},
}

// May says whether a role may do an act.
func May(role string, a Act) bool { return has(leave[a], role) }

// MayEdit says whether a role may edit a table of the book.
func MayEdit(role, table string) bool {
	return role == Manager || role == Planner || has(tableLeave[table], role)
}

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// need gives a Denied fault unless who may do a.
func need(who Who, a Act) error {
	if May(who.Role, a) {
		return nil
	}
	return fault.New(fault.Denied, "The role %s may not %s.", who.Role, a)
}

// needEdit gives a Denied fault unless who may edit the table.
func needEdit(who Who, table string) error {
	if MayEdit(who.Role, table) {
		return nil
	}
	return fault.New(fault.Denied, "The role %s may not edit the table %s.", who.Role, table)
}
