package render

import (
	"fmt"
	"strings"

	"cubby/internal/design"
	"cubby/internal/panels"
)

// openChecks are the checks that are not plain passes, passed the others; told are rows with nothing to check.
func openChecks(all []design.Check) (open, passed, told []design.Check) {
	for _, c := range all {
		switch {
		case c.Told:
			told = append(told, c)
		case c.Status == panels.Pass:
			passed = append(passed, c)
		default:
			open = append(open, c)
		}
	}
	return open, passed, told
}

// passLine tells in running text what passed, with value and limit.
func passLine(t table) string {
	var all []string
	for _, row := range t.Rows {
		all = append(all, fmt.Sprintf("%s (%s, limit %s)", row[0].Text, row[1].Text, row[2].Text))
	}
	return "Pass: " + strings.Join(all, "; ") + "."
}

// passTable lists checks that passed, with value and limit alone.
func passTable(r *design.Result, passed []design.Check) table {
	t := checkTable(r, passed)
	t.Columns = []column{{Head: "pass"}, {Head: "value", Width: 19, Align: AlignRight}, {Head: "limit", Width: 19, Align: AlignRight}}
	for i := range t.Rows {
		t.Rows[i] = t.Rows[i][:3]
	}
	return t
}

// checks sets what needs care with its reasons, then what passed in two columns.
func (f *flow) checks(r *design.Result, d *design.Design) {
	open, passed, told := openChecks(d.Checks)
	if len(d.Checks) == 0 {
		return
	}
	f.Heading("Checks")
	if len(open) > 0 {
		f.Table(checkTable(r, open))
	}
	for _, c := range told {
		f.Styled(sentence(c.Name+": "+c.Note), TextStyle{Size: sizeSmall})
	}
	half := (len(passed) + 1) / 2
	if half == 0 {
		return
	}
	first := passTable(r, passed[:half])
	if first.tight = f.b.tight; first.tight > 0 && first.height((f.Area.W-8)/2) > f.Left() { // too long for this page: in running text
		f.Styled(passLine(checkTable(r, passed)), TextStyle{Size: sizeSmall})
		return
	}
	f.Need(first.height((f.Area.W - 8) / 2))
	f.columns(2, 8, func(k int) {
		part := passed[:half]
		if k == 1 {
			part = passed[half:]
		}
		if len(part) > 0 {
			f.Table(passTable(r, part))
		}
	})
}

// checkTable lists everything that was graded.
func checkTable(r *design.Result, all []design.Check) table {
	t := table{Size: sizeSmall, Columns: []column{{Head: "check", Width: 34}, {Head: "value", Width: 19, Align: AlignRight},
		{Head: "limit", Width: 19, Align: AlignRight}, {Head: "result", Width: 20}, {Head: "why, and the setting that makes it pass"}}}
	for _, c := range all {
		why := sentence(c.Note)
		if c.Setting != "" {
			why += " " + sentence(c.Setting)
		}
		value, limit := "–", "–"
		if c.Status != panels.NotChecked {
			value, limit = quantity(c.Value, c.Unit, r.Request.Units), quantity(c.Limit, c.Unit, r.Request.Units)
		}
		result := statusWord(c.Status)
		switch {
		case c.Told:
			result = "note"
		case c.Name == design.CarryCheck && c.Status != panels.NotChecked: // shares of the opening
			value, limit = number(100*c.Value, 0)+" %", number(100*c.Limit, 0)+" %"
		case (c.Name == design.ExcursionCheck || c.Name == design.RadiatorCheck) && c.Status != panels.NotChecked: // as makers state it, and as the text beside it does
			value, limit = number(1000*c.Value, 1)+" mm", number(1000*c.Limit, 1)+" mm"
		}
		row := cells(c.Name, value, limit, result, why)
		row[3].Bold = c.Status == panels.Marginal || c.Status == panels.Fail
		t.Rows = append(t.Rows, row)
	}
	return t
}
