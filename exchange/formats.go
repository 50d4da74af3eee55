package exchange

import (
	"fmt"
	"strings"

	"tackline/book"
)

// Formats gives docs/formats.md: every table and column of the shop book, every setting, and every plan file, out of their
// descriptions in the code.
func Formats() string {
	var b strings.Builder
	b.WriteString(formatsIntro)
	b.WriteString("\n## Tables\n\n| table | holds | needed |\n|---|---|---|\n")
	tables := book.Tables()
	for i := range tables {
		must := ""
		if isNeeded(tables[i].Name) {
			must = "yes"
		}
		fmt.Fprintf(&b, "| [%s](#%s) | %s | %s |\n", tables[i].Name, tables[i].Name, tables[i].Note, must)
	}
	for i := range tables {
		t := &tables[i]
		fmt.Fprintf(&b, "\n### %s\n\n%s.\n\n| column | holds | unit | one of | if empty | example | meaning |\n|---|---|---|---|---|---|---|\n", t.Name, sentence(t.Note))
		for j := range t.Columns {
			writeColumn(&b, &t.Columns[j])
		}
		if t.Name == "settings" {
			writeSettings(&b)
		}
	}
	b.WriteString(planIntro)
	for _, f := range planFiles() {
		fmt.Fprintf(&b, "\n### %s.csv\n\n%s.\n\n| column | unit | meaning |\n|---|---|---|\n", f.name, sentence(f.note))
		for _, c := range f.columns {
			fmt.Fprintf(&b, "| %s | %s | %s |\n", c.name, c.unit, tableText(c.note))
		}
	}
	return b.String()
}

func writeColumn(b *strings.Builder, c *book.Column) {
	name, holds, empty := c.Name, string(c.Kind), tableText(c.Default)
	if c.Key {
		name += " (key)"
	}
	if c.Ref != "" {
		holds += fmt.Sprintf(", a name from [%s](#%s)", c.Ref, c.Ref)
	}
	if empty == "" && (c.Need || c.Key) {
		empty = "not allowed"
	}
	if c.Key && strings.Contains(c.Note, "empty") && c.Ref != "" {
		empty = ""
	}
	fmt.Fprintf(b, "| %s | %s | %s | %s | %s | %s | %s |\n", name, holds, c.Unit, strings.Join(c.Enum, ", "), empty, tableText(c.Example), tableText(c.Note))
}

func writeSettings(b *strings.Builder) {
	b.WriteString("\nThe settings:\n\n| setting | holds | unit | default | meaning |\n|---|---|---|---|---|\n")
	for _, s := range book.Settings() {
		holds := string(s.Kind)
		if len(s.Enum) > 0 {
			holds = "one of " + strings.Join(s.Enum, ", ")
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s | %s |\n", s.Name, holds, s.Unit, s.Default, s.Note)
	}
}

// sentence writes a note with a capital letter.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// tableText writes a text so that it stays within its cell of a table.
func tableText(s string) string {
	if strings.ContainsAny(s, "|*{}<>_'") && !strings.Contains(s, " ") {
		return "`" + strings.ReplaceAll(s, "|", "\\|") + "`"
	}
	return strings.NewReplacer("|", "\\|", "*", "\\*", "<", "&lt;", "\n", " ").Replace(s)
}

const formatsIntro = `# The shop book and the plan files

This page lists every table and column that Tackline reads and writes. It is made from the program's own description of
its tables; ` + "`go test ./exchange -run Formats -update`" + ` writes it anew.

## One book, two forms

The shop book holds the plant, its products, its stock and its orders. It comes as

- **one workbook** (XLSX), a sheet for each table; or
- **a folder of CSV files**, a file for each table, named like it: ` + "`stations.csv`" + `. They are in UTF-8, with or without a byte
  order mark. Cells are separated by commas, semicolons or tabs; with semicolons, numbers may have a decimal comma.

Both hold the same. What is exported and imported again is the same book.

## How sheets are read

- The first row that is not blank is the header. The order of sheets, columns and rows is free, except where the text
  below says that later rows win.
- Case, blanks and hyphens in the names of sheets and columns do not matter: "Time Zone" is ` + "`time_zone`" + `.
- Blank rows are skipped. A sheet named ` + "`about`" + `, or with a name that begins with "notes", is not read.
- The sheets marked as needed below must be there; any other may be left out.
- An unknown sheet or column is a fault, so that a misspelt one does not get lost.
- A column may be left out if it is neither a key nor needed; its default holds then. An empty cell means the default too.
- The cells of the key columns together tell the rows of a table apart.
- Reading is all or nothing: if anything is wrong, nothing is changed, and every fault is listed with sheet, row, column, what
  was found, what was expected, and the nearest valid name.

## What cells hold

| holds | how it is written |
|---|---|
| text | as it stands; a number typed into a text column is read as its digits |
| number, whole number | 12, 0.8, -3; no separators of thousands |
| quantity | a number with up to three decimals |
| money | a number with up to two decimals, in the currency of the setting ` + "`currency`" + ` |
| percentages | 5 for 5 %; a cell formatted as per cent reads the same |
| yes or no | yes, no, true, false, 1, 0, x; or a real TRUE or FALSE |
| date | a real date, or text such as 2026-11-25 |
| date and time | a real date and time, or text such as 2026-11-25T06:00, in the wall clock time of the plant concerned. Where clocks go back a time may carry its offset: 2026-10-25T02:30+01:00 |
| time of day | a real time, or text such as 06:00; 24:00 is the end of the day |
| formula | an expression that gives a number or a yes or no; it reads ` + "`opt.name`" + ` (an option of the order line), ` + "`item.name`" + ` (an attribute of the item) and ` + "`qty`" + ` (pieces of the job) |
| text with {formula} | text in which each {formula} is replaced by its value: ` + "`jaw-{int(opt.jaws)}c`" + ` |

Options on an order line are written ` + "`jaws=4; form=closed; rotator=yes`" + `.
`

const planIntro = `
## The plan

` + "`tackline plan BOOK --out DIR`" + ` writes these files into a folder. They are CSV in UTF-8, separated by commas. Times are in ISO 8601
with the offset of the plant, to the second, such as ` + "`2026-11-25T06:00:00+00:00`" + `, so that anyone can check a plan with a script
of their own. An empty time means none. [check_plan.py](check_plan.py) is such a script: it reads the book as a folder of CSV files
and works the plan through with its own arithmetic.

An operation goes through setup, load, run and unload on one station. It occupies its station from ` + "`setup_start`" + ` to ` + "`end`" + `; on a
station with two pallets or more, load and unload happen beside the running piece. A phase that takes no time begins where the
next one begins. [planning.md](planning.md) says how long each phase takes and who works in it.

A job that is made more than once for a unit carries ` + "`#2`" + `, ` + "`#3`" + ` from the second on; one that is split because a batch or a rack does not
hold all its pieces, ` + "`+2`" + `, ` + "`+3`" + `.

` + "`tackline verify BOOK DIR`" + ` reads ` + "`plan.csv`" + ` back and checks it against every rule. It needs the columns job, op, station,
setup_start, start, run, unload and end, and reads batch and why; the order of rows and columns is free.
`
