package grade

// Where the acoustic figures come from. None of the thresholds is a published limit: they were tried on invented drivers
// of typical classes.
const (
	practice  = "common practice"
	tried     = "common practice; tried on invented drivers of typical classes, not a published value"
	synthesis = "common practice: a synthesis of jet onset and blind listening, not a published limit"
	jet       = "Holman, Utturkar, Mittal, Smith, Cattafesta, AIAA J. 43(10) (2005) (abstract): 1/Sr = K, 0.16 round, about 1 in a plane; in this form derived"
	small74   = "Small, Passive-Radiator Loudspeaker Systems Part I, J. Audio Eng. Soc. 22 (1974) (abstract)"
	small73   = "Small, Vented-Box Loudspeaker Systems Part III, J. Audio Eng. Soc. 21 (1973) (opening page)"
	trade     = "usual factory tolerance of the suspension; the rest common practice"
	mdf       = "mdf-info.eu, on screws in MDF (author and year not stated)"
	copper    = "0.00393 per kelvin of copper, 100 K (from memory)"
)

func most(pass, marginal float64, unit, what, source string) Rule {
	return Rule{Most, pass, marginal, unit, what, source}
}

func least(pass, marginal float64, unit, what, source string) Rule {
	return Rule{Least, pass, marginal, unit, what, source}
}

func figure(value float64, unit, what, source string) Rule {
	return Rule{Figure, value, value, unit, what, source}
}

// standard is the one place where the thresholds stand.
var standard = Table{
	OpeningOver:          most(0.003, 0.003, "m", "opening over the driver's cut-out", practice),
	OpeningUnder:         most(0, 0.010, "m", "opening under the driver's cut-out: it can be opened up", practice),
	FrameCover:           least(0.006, 0.006, "m", "frame over opening, both sides together", practice),
	OpeningToBolt:        least(0.006, 0.006, "m", "edge of an opening that is too large to a bolt hole", practice),
	DepthBehindVent:      least(0.025, 0, "m", "air behind a vented pole", practice),
	DepthBehindVentLeast: figure(0.012, "m", "the least of it to be accepted", practice),
	DepthBehind:          least(0.006, 0, "m", "air behind a closed magnet", practice),
	AirInFront:           least(0.006, 0, "m", "air before the cone over its travel and the surround's height", practice),

	QtcLow:               least(0.5, 0, "", "Qtc of a sealed box", tried),
	QtcHigh:              most(1.0, 1.25, "", "Qtc of a sealed box", tried),
	Peak:                 most(2, 4.5, "dB", "peak over the reference, 10 to 200 Hz", tried),
	Dip:                  most(2, 4, "dB", "fall that a rise follows", tried),
	Excursion:            most(1, 2, "", "excursion over Xmax, full sine at P0, with filters", tried),
	PortSpeed:            most(1, 2, "", "port air speed over the speed allowed, full sine at P0, with filters", synthesis),
	DuctResonance:        least(2.5, 1.5, "", "first duct resonance over the low-pass", tried),
	DuctBase:             figure(80, "Hz", "low-pass that the duct is judged by when none is stated: 200 Hz over 2.5", practice),
	DeliveredPower:       most(1, 2, "", "delivered over rated power", practice),
	LoadAsWired:          least(1, 1, "", "load over the amplifier's least", practice),
	LowestJudged:         figure(20, "Hz", "from where excursion and port speed are judged", practice),
	Sag:                  most(0.05, 1, "", "static sag over Xmax, cone facing up or down", practice),
	RadiatorSag:          most(0.10, 0.10, "", "static sag of a radiator over its Xmax, facing up or down", practice),
	RadiatorDisplacement: figure(2, "", "volume displacement of radiators over the driver's, at least", small74),
	PassBand:             least(1, 0.5, "", "octaves that a band-pass plays to 3 dB below its tuning: in fewer it plays one note", practice),
	GapMass:              most(0.05, 1, "", "air in a narrow gap before the cone over Mms", practice),

	SpeedSharp:       figure(14, "m/s", "allowed speed, sharp edges, at scale 1", synthesis),
	SpeedRounded:     figure(17, "m/s", "allowed speed, rounded edges, at scale 1", synthesis),
	SpeedFlared:      figure(20, "m/s", "allowed speed, flared ends, at scale 1", synthesis),
	SpeedProduct:     figure(3, "m/s", "tuning times diameter at scale 1", synthesis),
	SpeedScaleLeast:  figure(0.7, "", "least scale of the allowed speed", synthesis),
	SpeedScaleMost:   figure(1.3, "", "largest scale of the allowed speed", synthesis),
	EdgeRadius:       figure(0.006, "m", "radius from which an edge is rounded", practice),
	EdgeShareRounded: figure(0.1, "", "radius over bore from which an edge is rounded", practice),
	EdgeShareFlared:  figure(0.25, "", "radius over bore from which an end is flared", practice),
	JetRound:         figure(1.58, "", "speed at the onset of jetting over f D, round and sharp", jet),
	JetSlot:          figure(9.87, "", "speed at the onset of jetting over f h, slot and sharp", jet),

	HighPassSealedLow:  figure(20, "Hz", "lowest high-pass advised for a sealed box", practice),
	HighPassSealedHigh: figure(30, "Hz", "highest high-pass advised for a sealed box", practice),
	HighPassShare:      figure(0.7, "", "lowest high-pass advised over the tuning", practice),
	HighPassLow:        figure(20, "Hz", "lowest high-pass advised for a vented box", practice),
	HighPassHigh:       figure(40, "Hz", "highest high-pass advised for a vented box", practice),
	TuningOverHighPass: figure(0.9, "", "tuning over a stated high-pass, at least", practice),

	CautionShare: figure(0.5, "", "allowed power over P0 from which a box suits with cautions", practice),
	LeastShare:   figure(0.25, "", "allowed power over P0 below which a box does not suit", practice),

	TuningLow:    figure(22, "Hz", "lowest tuning of a design", practice),
	TuningHigh:   figure(60, "Hz", "highest tuning of a design", practice),
	PortAirShare: figure(0.25, "", "air in the ports over net volume, at most", practice),
	VentedQtc:    figure(1.5, "", "Qtc that the closed box of a vented one's volume has, at most: a smaller one only looks like a vented box", practice),
	GainWeight:   figure(0.25, "", "penalty of a decibel of gain given up", tried),
	QtcSpanHigh:  figure(0.25, "", "Qtc above its pass figure that counts 1", tried),
	QtcSpanLow:   figure(0.2, "", "Qtc below its pass figure that counts 1", tried),
	PeakSpan:     figure(2.5, "dB", "peak above its pass figure that counts 1", tried),

	FlatSize:          figure(0.1, "dB", "flat: per doubling of outside litres", tried),
	FlatPort:          figure(0.3, "dB", "flat: for a port or radiator", tried),
	FlatPortLength:    figure(0.6, "dB/m", "flat: for its effective length", tried),
	LowPenalty:        figure(2, "dB", "low: of the penalty", tried),
	LowCorner:         figure(0.15, "dB/Hz", "low: of f10 above 20 Hz", tried),
	LowSize:           figure(1, "dB", "low: per doubling of outside litres", tried),
	LowPort:           figure(0.5, "dB", "low: for a port or radiator", tried),
	LowPortLength:     figure(1, "dB/m", "low: for its effective length", tried),
	LoudPenalty:       figure(2, "dB", "loud: of the penalty", tried),
	LoudSize:          figure(0.5, "dB", "loud: per doubling of outside litres", tried),
	LoudPort:          figure(0.5, "dB", "loud: for a port or radiator", tried),
	LoudPortLength:    figure(1, "dB/m", "loud: for its effective length", tried),
	CompactPort:       figure(0.1, "", "compact: share of size for a port or radiator", tried),
	CompactPortLength: figure(0.2, "1/m", "compact: share of size for its effective length", tried),
	CompactLoss:       figure(1.5, "dB", "compact: mean level that may be given up against the best sealed box", tried),
	CompactMinute:     figure(0.002, "1/min", "compact: share of size for a shop minute", tried),
	MinuteWeight:      figure(0.02, "dB/min", "of a shop minute beyond the plain box", tried),
	RadiatorLength:    figure(0.25, "m", "effective length that a passive radiator counts as", tried),
	CornerLeast:       figure(20, "Hz", "f10 below which a lower one counts for nothing", tried),
	CornerNone:        figure(80, "Hz", "f10 of a curve that lies below -10 dB at its top", tried),

	OfferWithin: figure(2, "dB", "mean level that an alternative may give up", practice),
	OfferShare:  figure(0.5, "", "allowed power over P0 of an alternative, at least", practice),
	SameSize:    figure(0.2, "", "difference of volume or port speed within which two boxes are the same", practice),
	SameTuning:  figure(0.1, "", "difference of tuning within which two boxes are the same", practice),

	SpreadCompliance: figure(0.30, "", "either way, of the suspension's compliance", trade),
	SpreadMotor:      figure(0.05, "", "either way, of Re and of Bl", trade),
	SpreadMass:       figure(0.05, "", "either way, of Mms", trade),
	SpreadVolume:     figure(0.02, "", "either way, of the net volume", practice),
	SpreadLength:     figure(0.002, "m", "either way, of the effective port length", practice),
	SpreadLeakLow:    figure(5, "", "least QL", small73),
	SpreadLeakHigh:   figure(15, "", "largest QL", practice),
	WarmCoil:         figure(1.393, "", "Re of a coil 100 K warmer over Re", copper),
	LeakVented:       figure(7, "", "QL of a vented box", small73),

	// Workshop.
	BoltLand:     least(0.006, 0.004, "m", "wood between the opening's edge and a bolt hole", practice),
	TeeNutMargin: least(0.001, 0.001, "m", "half of bolt circle less cut-out, over the flange radius of a T-nut", practice),

	TubeToJoint:      figure(0.020, "m", "tube's outside to a joint line, at least", practice),
	TubeToJointShare: figure(0.15, "", "the same over the bore", practice),
	TubeInner:        least(1, 0.5, "", "inner end to a wall or magnet over the bore", "derived: the gap's cylinder against the bore"),
	TubeSaddleFrom:   figure(0.300, "m", "length from which a tube gets a saddle", practice),
	TubeSaddleWithin: figure(0.080, "m", "saddle to the free end, at most", practice),
	TubeHoleOver:     figure(0.0005, "m", "hole over the tube's outside diameter", practice),

	SlotHeight:     least(0.020, 0.020, "m", "height of a slot", practice),
	SlotAspect:     most(8, 10, "", "width over height of a slot", practice),
	SlotFinSpacing: most(0.250, 0.250, "m", "clear width between fins", practice),
	SlotEdgeRadius: figure(0.006, "m", "rounding of both mouths of a slot", practice),
	SlotInner:      least(1.5, 1, "", "inner mouth to the facing wall over the height", practice),
	SlotFrameClear: least(0.015, 0.015, "m", "slot's wall to the driver's frame", practice),

	BraceOpening:   least(0.5, 0.5, "", "openings over the area of a window brace", practice),
	BraceRail:      least(0.040, 0.040, "m", "rail of a window brace", practice),
	BraceCorner:    least(0.020, 0.020, "m", "radius of an inside corner of a window", practice),
	BraceToMagnet:  least(0.025, 0.025, "m", "brace to magnet or vented pole", practice),
	BraceClearance: figure(0.0003, "m", "a brace inside its section, each side", practice),

	CleatFace:             figure(0.025, "m", "cleat along the removable face", practice),
	CleatDepth:            figure(0.020, "m", "cleat along the wall", practice),
	RemovableScrewSpacing: most(0.130, 0.130, "m", "screws of a removable face", practice),
	RemovableScrewCorner:  most(0.080, 0.080, "m", "screw of a removable face to a corner", practice),
	RemovableScrewEdge:    least(0.012, 0.012, "m", "wood outside a screw of a removable face", practice),

	TerminalToJoint: least(0.040, 0.040, "m", "terminal to a joint or brace", practice),
	TerminalToBolt:  least(0.050, 0.050, "m", "terminal to the bolt circle", practice),

	BlankWidth:  least(0.060, 0.060, "m", "width of a wall's blank", practice),
	FaceLength:  least(0.040, 0.040, "m", "outer or inner face of a wall", practice),
	FaceBoards:  least(2, 2, "", "the same over its thickness", practice),
	TiltMost:    most(45, 45, "deg", "tilt of the blade", "common practice: saws stop at 45 to 47"),
	FeatherTilt: figure(30, "deg", "tilt from which an arris is taken off before handling", practice),
	ThinCorner:  most(165, 165, "deg", "angle at which unlike boards may meet", practice),
	RabbetMDF:   figure(1.0/3, "", "depth of a rabbet over the board, MDF", practice),
	RabbetPly:   figure(0.5, "", "depth of a rabbet over the board, plywood", practice),
	RabbetLeast: least(0.005, 0.005, "m", "depth of a rabbet", practice),
	RabbetLip:   least(0.008, 0.008, "m", "what a rabbet leaves of the board", practice),
	StandRun:    most(0.060, 0.060, "m", "run of a bevel cut on edge in a carriage", practice),
	StandHeight: most(0.600, 0.600, "m", "height of a panel cut on edge in a carriage", practice),
	StandEdge:   least(0.300, 0.300, "m", "edge of a panel cut on edge in a carriage", practice),

	SawDepth:     figure(0.054, "m", "depth of cut, blade upright", practice),
	SawDepthAt45: figure(0.038, "m", "depth of cut at 45 degrees", practice),
}
