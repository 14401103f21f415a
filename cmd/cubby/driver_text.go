package main

import (
	"fmt"
	"math"
	"strings"

	"cubby/internal/design"
	"cubby/internal/thielesmall"
	"cubby/internal/unit"
)

// driverText is what driver says on the terminal: one block for each file that could be read.
func driverText(cases []driverCase, out string) string {
	var b strings.Builder
	for _, c := range cases {
		if c.sheet == nil {
			continue // its error stands on standard error
		}
		if b.Len() > 0 {
			b.WriteString("\n" + strings.Repeat("-", lineWidth) + "\n\n")
		}
		title := c.file
		if c.read.Spec.Name != "" {
			title = c.read.Spec.Name + " (" + c.file + ")"
		}
		paragraph(&b, "", title)
		sheetText(&b, c.sheet, nil)
	}
	if out != "" && cases[0].err == nil {
		fmt.Fprintf(&b, "\n%s written.\n", out)
	}
	return b.String()
}

// sheetText says all that there is to say about a driver. measured holds the names of the values that were measured.
func sheetText(b *strings.Builder, s *design.DriverSheet, measured map[string]bool) {
	if len(s.Parameters) > 0 {
		paragraph(b, "", dataVerdict(s.Findings))
		findingsText(b, s.Findings)
		parametersText(b, s, measured)
		coilsText(b, s)
		sealedText(b, s)
		ventedText(b, s)
		loudestText(b, s)
	}
	missingText(b, s)
}

// dataVerdict is the judgement of the data in one sentence.
func dataVerdict(all []thielesmall.Finding) string {
	count := map[thielesmall.Severity]int{}
	for _, f := range all {
		count[f.Severity]++
	}
	switch {
	case count[thielesmall.Flagged] > 0:
		return "The data contradict themselves or cannot be right: mend them before you build."
	case count[thielesmall.Warning] > 0:
		return "The data can be used; look at the warnings first."
	}
	return "The data agree with each other."
}

func findingsText(b *strings.Builder, all []thielesmall.Finding) {
	for _, f := range all {
		paragraph(b, "  ", fmt.Sprintf("- %s: %s", f.Severity, f.Text))
	}
}

// parametersText lists every value, and what it comes from.
func parametersText(b *strings.Builder, s *design.DriverSheet, measured map[string]bool) {
	b.WriteString("\n")
	row := func(name, value, from string) {
		if from == "given" && measured[name] {
			from = "measured"
		}
		fmt.Fprintf(b, "  %-17s%-25s%s\n", name, value, wrapAt(from, 44))
	}
	row("value", "", "comes from")
	for _, p := range s.Parameters {
		value := thielesmall.Amount(p.Name, p.Value)
		if p.Name == "vas" {
			value += ", " + unit.FormatVolume(p.Value, unit.Inch)
		}
		row(p.Name, value, originText(p))
	}
	d := s.Driver
	for _, q := range []struct {
		name   string
		value  float64
		scale  float64
		symbol string
	}{
		{"le", d.Le, 1e3, "mH"}, {"l2", d.L2, 1e3, "mH"}, {"r2", d.R2, 1, "ohm"}, {"xmax", d.Xmax, 1e3, "mm, one way"},
		{"xmech", d.Xmech, 1e3, "mm, one way"}, {"power", d.Power, 1, "W"}, {"impedance", d.Impedance, 1, "ohm"},
	} {
		if q.value > 0 {
			row(q.name, fmt.Sprintf("%.4g %s", q.value*q.scale, q.symbol), "given")
		}
	}
	if vd := d.VolumeDisplacement(); vd > 0 {
		row("Vd", fmt.Sprintf("%.0f cm3, peak", vd*1e6), "sd, xmax")
	}
	row("efficiency", fmt.Sprintf("%.2f %%", 100*d.Efficiency(s.Air)), "bl, sd, re, mms; half space")
	row("level at 1 W", fmt.Sprintf("%.1f dB at 1 m", s.LevelAtOneWatt()), fmt.Sprintf("%.2f V: one watt into re", math.Sqrt(d.Re)))
	row("level at 2.83 V", fmt.Sprintf("%.1f dB at 1 m", design.LevelAt283(d, s.Air)), "half space, coil inductance left out")
	ratio, leans := s.Inclination()
	row("fs/Qes", fmt.Sprintf("%.0f Hz", ratio), leans+" (common practice)")
	if d.Xmax > 0 {
		row("sag", fmt.Sprintf("%.2f mm", d.Sag()*1e3), "cone facing up or down")
	}
}

func originText(p thielesmall.Parameter) string {
	switch p.Origin {
	case thielesmall.Computed:
		return strings.Join(p.From, ", ")
	case thielesmall.Overruled:
		return fmt.Sprintf("%s (given: %s)", strings.Join(p.From, ", "), givenText(p))
	}
	return "given"
}

// givenText is an overruled value and how far off it is.
func givenText(p thielesmall.Parameter) string {
	text := thielesmall.Amount(p.Name, p.Given)
	if math.Abs(p.Percent()) < 0.05 {
		return text + ", agrees"
	}
	return fmt.Sprintf("%s, %+.1f %%", text, p.Percent())
}

func coilsText(b *strings.Builder, s *design.DriverSheet) {
	if len(s.Coils) == 0 {
		return
	}
	fmt.Fprintf(b, "\n  coils      re           impedance    bl           level at 2.83 V\n")
	for _, c := range s.Coils {
		nominal, note := "not stated", ""
		if c.Driver.Impedance > 0 {
			nominal = fmt.Sprintf("%.4g ohm", c.Driver.Impedance)
		}
		if c.AsData {
			note = "  as the data are"
		}
		fmt.Fprintf(b, "  %-11s%-13s%-13s%-13s%.1f dB%s\n", c.Connection, fmt.Sprintf("%.4g ohm", c.Driver.Re), nominal,
			fmt.Sprintf("%.4g T m", c.Driver.Bl), design.LevelAt283(c.Driver, s.Air), note)
	}
}

// volumeColumn is a volume in both systems.
func volumeColumn(m3 float64) string {
	return unit.FormatVolume(m3, unit.Metric) + ", " + unit.FormatVolume(m3, unit.Inch)
}

func hertz(f float64) string {
	if math.IsNaN(f) {
		return "-"
	}
	return fmt.Sprintf("%.1f Hz", f)
}

func sealedText(b *strings.Builder, s *design.DriverSheet) {
	if s.Driver.Le > 0 || s.Driver.L2 > 0 {
		b.WriteString("\n")
		paragraph(b, "  ", "f3 and peak of the boxes include the coil's inductance, as in design and check.")
	}
	b.WriteString("\n  Sealed, empty and tight\n  Qtc    net air                fc        f3        peak\n")
	for _, x := range s.Sealed {
		switch {
		case x.Volume == 0:
			fmt.Fprintf(b, "  %-7.3fnone: the driver's own Qts is %.3f, and a box only raises it\n", x.Qtc, s.Driver.Qts())
			continue
		case x.Remark != "":
			fmt.Fprintf(b, "  %-7.3f%-23s%s\n", x.Qtc, volumeColumn(x.Volume), x.Remark)
			continue
		}
		fmt.Fprintf(b, "  %-7.3f%-23s%-10s%-10s%.1f dB\n", x.Qtc, volumeColumn(x.Volume), hertz(x.Fc), hertz(x.F3), x.Peak)
	}
}

func ventedText(b *strings.Builder, s *design.DriverSheet) {
	fmt.Fprintf(b, "\n  Vented, all box losses as QL %.0f\n", s.QL)
	if len(s.Vented) == 0 {
		fmt.Fprintf(b, "  None of the classical families has a box for a Qts of %.3f.\n", s.Driver.Qts())
		return
	}
	b.WriteString("  family            net air               tuning    f3        peak    least port\n")
	for _, v := range s.Vented {
		port := "-"
		if v.PortArea > 0 {
			port = fmt.Sprintf("%.0f mm", 2e3*math.Sqrt(v.PortArea/math.Pi))
		}
		fmt.Fprintf(b, "  %-18s%-22s%-10s%-10s%-8s%s\n", v.Family, volumeColumn(v.Volume), hertz(v.Fb), hertz(v.F3), fmt.Sprintf("%.1f dB", v.Peak), port)
	}
	if s.Driver.Xmax > 0 {
		paragraph(b, "  ", "Least port: the bore of one tube by the rule of thumb 0.8 fb Vd.")
	}
}

func loudestText(b *strings.Builder, s *design.DriverSheet) {
	b.WriteString("\n  Greatest level, free field, half space at 1 m, infinite baffle\n")
	if d := s.Driver; d.Xmax == 0 && (d.Power == 0 || d.Impedance == 0) {
		paragraph(b, "  ", "Nothing limits it: neither xmax is stated nor power with impedance.")
		return
	}
	b.WriteString("  at        by xmax     by power\n")
	level := func(db float64) string {
		if math.IsNaN(db) {
			return "no limit"
		}
		return fmt.Sprintf("%.1f dB", db)
	}
	for _, l := range s.Loudest {
		fmt.Fprintf(b, "  %-10s%-12s%s\n", fmt.Sprintf("%.0f Hz", l.Frequency), level(l.Excursion), level(l.Power))
	}
	paragraph(b, "  ", "The lower of the two counts. The one by xmax holds in any sealed box; below the resonance of its box the one by power is lower.")
}

func missingText(b *strings.Builder, s *design.DriverSheet) {
	if len(s.Missing) == 0 {
		return
	}
	b.WriteString("\n  Not stated\n")
	for _, g := range s.Missing {
		paragraph(b, "  ", fmt.Sprintf("- no %s: %s (%s).", g.What, g.Effect, strings.Join(g.Commands, ", ")))
	}
}
