package panels

// Until face.go, body.go and their like are there: to be deleted with the first of them.
type (
	face        struct{}
	body        struct{ kind bodyKind }
	fixingFit   struct{}
	driverFit   struct{}
	portFit     struct{ wishes []Wish }
	terminalFit struct{}
)
