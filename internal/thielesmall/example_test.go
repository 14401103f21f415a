package thielesmall_test

import (
	"fmt"
	"math"

	"cubby/internal/thielesmall"
)

// An invented 10 in driver in a vented box of 45 l, tuned to 30 Hz.
func Example() {
	air, err := thielesmall.Reference().Air()
	if err != nil {
		fmt.Println(err)
		return
	}
	spec := thielesmall.Spec{Fs: 28, Qes: 0.45, Qms: 5.5, Vas: 0.055, Sd: 0.0335, Re: 3.4, Xmax: 0.012, Impedance: 4, Power: 300}
	_, set, findings, err := spec.Wire(1, thielesmall.Wiring{})
	if err != nil {
		fmt.Println(err)
		return
	}

	radius := 0.05
	ends := [2]float64{thielesmall.EndFlush(radius), thielesmall.EndFree(radius)}
	area := math.Pi * radius * radius
	length, ok := thielesmall.PortLength(air, 0.045, 30, area, 1, ends[0]+ends[1])
	if !ok {
		fmt.Println("no port is that short")
		return
	}
	c, err := thielesmall.NewCircuit(thielesmall.System{
		Air: air, Driver: set,
		Box: thielesmall.Box{Volume: 0.045, LeakQ: 7, Ports: []thielesmall.Port{{Area: area, Length: length, Ends: ends}}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}

	figures := c.Figures(2.83)
	at := c.At(figures.Fb, 2.83)
	level, cause := c.MaxLevel(25, thielesmall.Limits{AmplifierVolts: math.Sqrt(400 * 4), RatedPower: set.Power, Nominal: set.Impedance, Xmax: set.Xmax, PortSpeed: 20})
	fmt.Printf("remarks %d, Qts %.3f, Mms %.0f g, Bl %.1f T m\n", len(findings), set.Qts(), set.Mms*1e3, set.Bl)
	fmt.Printf("port %.0f mm, tuning %.1f Hz, f3 %.1f Hz, first duct resonance %.0f Hz\n", length*1e3, figures.Fb, figures.F3, figures.DuctResonance)
	fmt.Printf("at the tuning %.1f dB, cone %.2f mm, port %.2f m/s\n", at.Level, at.Excursion*1e3, at.PortSpeed)
	fmt.Printf("loudest at 25 Hz %.1f dB, set by %v\n", level, cause)
	// Output:
	// remarks 0, Qts 0.416, Mms 94 g, Bl 11.2 T m
	// port 509 mm, tuning 30.0 Hz, f3 29.1 Hz, first duct resonance 296 Hz
	// at the tuning 87.6 dB, cone 0.42 mm, port 2.33 m/s
	// loudest at 25 Hz 101.5 dB, set by port
}
