// Package book is the shop book: every table of the plant together, described once, so that workbook, folder of CSV,
// database and forms all speak of the same tables and columns, and checked as a whole.
package book

import (
	"tackline/order"
	"tackline/plant"
	"tackline/product"
	"tackline/stock"
)

// Book holds all tables. The order of the fields is the order of the sheets; the tag is the name of the table, then what
// it holds. A Book that Check passes can be planned.
type Book struct {
	Plants         []plant.Plant         `table:"plants" note:"the works, each with its time zone"`
	Settings       []plant.Setting       `table:"settings" note:"named values of the whole book; each has a default"`
	Calendars      []plant.Calendar      `table:"calendars" note:"named weekly patterns of open time"`
	Shifts         []plant.Shift         `table:"shifts" note:"the open time of each calendar"`
	Exceptions     []plant.Exception     `table:"exceptions" note:"holidays, overtime, maintenance and breakdowns"`
	Centres        []plant.Centre        `table:"centres" note:"work centres: sets of interchangeable stations"`
	Stations       []plant.Station       `table:"stations" note:"machines, benches, booths, racks and subcontractors"`
	Setups         []plant.Setup         `table:"setups" note:"changeover times between setup families"`
	Pools          []plant.Pool          `table:"pools" note:"crew pools: people by skill"`
	People         []plant.Person        `table:"people" note:"who works here, in which pool and when"`
	Qualifications []plant.Qualification `table:"qualifications" note:"what people may do, and until when"`
	Absences       []plant.Absence       `table:"absences" note:"when people are away"`
	Transits       []plant.Transit       `table:"transits" note:"truck days between plants"`
	Items          []product.Item        `table:"items" note:"what is made, bought, or cut from bar and tube"`
	Attributes     []product.Attribute   `table:"attributes" note:"properties of items that formulas read"`
	Options        []product.Option      `table:"options" note:"what an order line can choose"`
	Rules          []product.Rule        `table:"rules" note:"which combinations of options are allowed"`
	Parts          []product.Part        `table:"parts" note:"parts lists"`
	Ops            []product.Op          `table:"operations" note:"routes: the operations of each made item"`
	Crews          []product.Crew        `table:"crews" note:"people needed at operations"`
	Ables          []product.Able        `table:"able" note:"stations that can do an operation, where not every one of the work centre can"`
	Programs       []product.Program     `table:"programs" note:"machine and robot programs"`
	Drawings       []product.Drawing     `table:"drawings" note:"drawings"`
	Lots           []stock.Lot           `table:"lots" note:"stock"`
	Receipts       []stock.Receipt       `table:"receipts" note:"what is expected from suppliers and sister plants"`
	Classes        []order.Class         `table:"classes" note:"order classes"`
	Orders         []order.Order         `table:"orders" note:"who asks"`
	Lines          []order.Line          `table:"lines" note:"what is asked, with options and due date"`
	Releases       []stock.Release       `table:"releases" note:"jobs made to stock that are on the floor"`
	Work           []stock.Work          `table:"work" note:"what the floor has done and does"`
	Pins           []order.Pin           `table:"pins" note:"operations that a planner wants on a station or at a time"`
	Forbids        []order.Forbid        `table:"forbids" note:"stations and times that a planner forbids for an operation"`
	Splits         []order.Split         `table:"splits" note:"lots that a planner splits"`
	Priorities     []order.Priority      `table:"priorities" note:"what is dearer to be late than its class says"`
	Finished       []stock.Finished      `table:"finished" note:"operations of the past, planned against actual"`
}
