package grade

// ID names a rule.
type ID int16

// The rules, in the order of the tables.
const (
	// Driver in its opening.
	OpeningOver ID = iota
	OpeningUnder
	FrameCover
	OpeningToBolt
	DepthBehindVent
	DepthBehindVentLeast
	DepthBehind
	AirInFront

	// Response and load.
	QtcLow
	QtcHigh
	Peak
	Dip
	Excursion
	PortSpeed
	DuctResonance
	DuctBase
	DeliveredPower
	LoadAsWired
	LowestJudged
	Sag
	RadiatorSag
	RadiatorDisplacement
	PassBand
	GapMass

	// Port speed.
	SpeedSharp
	SpeedRounded
	SpeedFlared
	SpeedProduct
	SpeedScaleLeast
	SpeedScaleMost
	EdgeRadius
	EdgeShareRounded
	EdgeShareFlared
	JetRound
	JetSlot

	// Settings of the amplifier.
	HighPassSealedLow
	HighPassSealedHigh
	HighPassShare
	HighPassLow
	HighPassHigh
	TuningOverHighPass

	// Verdict.
	CautionShare
	LeastShare

	// Candidates.
	TuningLow
	TuningHigh
	PortAirShare
	VentedQtc
	GainWeight
	QtcSpanHigh
	QtcSpanLow
	PeakSpan

	// Aims.
	FlatSize
	FlatPort
	FlatPortLength
	LowPenalty
	LowCorner
	LowSize
	LowPort
	LowPortLength
	LoudPenalty
	LoudSize
	LoudPort
	LoudPortLength
	CompactPort
	CompactPortLength
	CompactLoss
	CompactMinute
	MinuteWeight
	RadiatorLength
	CornerLeast
	CornerNone

	// What is offered.
	OfferWithin
	OfferShare
	SameSize
	SameTuning

	// Spread.
	SpreadCompliance
	SpreadMotor
	SpreadMass
	SpreadVolume
	SpreadLength
	SpreadLeakLow
	SpreadLeakHigh
	WarmCoil
	LeakVented

	// Bolts and screws.
	BoltLand
	TeeNutMargin

	// Tubes.
	TubeToJoint
	TubeToJointShare
	TubeInner
	TubeSaddleFrom
	TubeSaddleWithin
	TubeHoleOver

	// Slots.
	SlotHeight
	SlotAspect
	SlotFinSpacing
	SlotEdgeRadius
	SlotInner
	SlotFrameClear

	// Braces.
	BraceOpening
	BraceRail
	BraceCorner
	BraceToMagnet
	BraceClearance

	// Removable faces.
	CleatFace
	CleatDepth
	RemovableScrewSpacing
	RemovableScrewCorner
	RemovableScrewEdge

	// Terminals.
	TerminalToJoint
	TerminalToBolt

	// Boards.
	BlankWidth
	FaceLength
	FaceBoards
	TiltMost
	FeatherTilt
	ThinCorner
	RabbetMDF
	RabbetPly
	RabbetLeast
	RabbetLip
	StandRun
	StandHeight
	StandEdge

	// The saw.
	SawDepth
	SawDepthAt45

	// Standing and carrying in.

	Count // how many there are
)
