package main

import _ "embed"

// licences are those of the modules and fonts that the program is built from. DEVELOPERS.md says how the file is made;
// a test holds that it names every one of them.
//
//go:embed THIRD-PARTY-LICENCES
var licences []byte
