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
	MouthRoom
	DeliveredPower
	LoadAsWired
	LowestJudged
	Sag
	RadiatorSag
	RadiatorDisplacement
	PassBand
	GapMass
	DataDisagrees
	DataFlagged

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
	HighPassOrder
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
	DesignDip
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
	ScrewFaceEdge
	ScrewFaceCorner
	ScrewEdgeCorner
	ScrewFeather
	PilotLeast
	PilotMost

	// Tubes.
	TubeToJoint
	TubeToJointShare
	TubeInner
	TubeToBrace
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
	SlotGrille

	// Braces.
	BraceOpening
	BraceRail
	BraceRailBoards
	BraceCorner
	BracePlace
	BraceToMagnet
	BraceStripAspect
	BraceClearance

	// Removable faces.
	CleatFace
	CleatDepth
	RemovableScrewSpacing
	RemovableScrewCorner
	RemovableScrewEdge
	GasketLoose
	GasketTight

	// Terminals.
	TerminalToJoint
	TerminalToBolt
	TerminalAir

	// Boards.
	ToeAngle
	NoseHeight
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
	PushStickWidth
	PushStickLength
	PushBlockWidth
	NeverBetween
	FenceLength
	SliverMost
	OffcutWidth
	OffcutLength
	HandleLength
	HandleWidth
	HandleMass

	// Standing and carrying in.
	PadHeight
	HandRoom
	MinutesBoard
	MinutesPocketBoard
	MinutesCorner
	MinutesCompound
	MinutesPerched
	MinutesHeight
	MinutesReach
	MinutesArea
	MinutesMass
	MassFree
	BoardsFree

	Count // how many there are
)
