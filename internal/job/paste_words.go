package job

// pasteLabels are further words of makers' sheets, which would be too vague for a key of a file.
var pasteLabels = map[string]string{
	"model": "name", "name": "name", "product": "name", "driver": "name", "part": "name", "part no": "name", "model name": "name",
	"resonance frequency": "fs", "resonant frequency fs": "fs", "free air resonance fs": "fs", "total q": "qts", "total q factor": "qts",
	"electrical q": "qes", "electrical q factor": "qes", "mechanical q": "qms", "mechanical q factor": "qms",
	"equivalent air volume": "vas", "equivalent compliance volume": "vas", "equivalent acoustic volume": "vas", "effective radiating area": "sd",
	"effective cone surface": "sd", "radiating area": "sd", "surface area of cone": "sd", "dc coil resistance": "re", "voice coil dc resistance": "re",
	"direct current resistance": "re", "coil inductance": "le", "inductance of coil": "le", "magnetic force factor": "bl", "bl product": "bl",
	"moving mass incl air load": "mms", "moving mass including air load": "mms", "total moving mass": "mms", "effective moving mass": "mms",
	"suspension compliance": "cms", "mechanical compliance": "cms", "suspension resistance": "rms", "mechanical losses": "rms",
	"maximum linear excursion": "xmax", "max linear excursion": "xmax", "linear coil travel": "xmax", "one way linear excursion": "xmax",
	"one way xmax": "xmax", "xmax one way": "xmax", "linear coil travel p p": "xmax_pp", "peak to peak linear excursion": "xmax_pp",
	"maximum mechanical excursion": "xmech", "xmech one way": "xmech", "impedance nominal": "impedance", "voice coil impedance": "impedance",
	"coil configuration": "coils", "voice coil configuration": "coils", "number of voice coils": "coils", "rms power handling": "power",
	"power handling rms": "power", "continuous power handling": "power", "long term power": "power", "thermal power": "power", "power": "power", "rms": "rms",
	"sensitivity": "sensitivity", "sound pressure level": "sensitivity", "outer frame": "frame", "frame diameter": "frame", "overall outside diameter": "frame",
	"flange diameter": "frame", "baffle cutout": "cutout", "baffle cut out": "cutout", "baffle cutout diameter": "cutout", "cutout hole diameter": "cutout",
	"mounting cutout": "cutout", "cut out diameter": "cutout", "mounting hole diameter": "cutout", "mounting cutout diameter": "cutout",
	"depth": "depth", "top mount depth": "depth", "mounting depth top": "depth", "motor width": "magnet", "magnet outer diameter": "magnet",
	"speaker displacement": "displacement", "woofer displacement": "displacement", "volume occupied by driver": "displacement",
	"displacement": "displacement", "shipping weight": "", "bolt circle": "bolts.circle", "bolt circle diameter": "bolts.circle",
	"screw circle": "bolts.circle", "mounting hole circle": "bolts.circle", "number of mounting holes": "bolts.count", "number of bolts": "bolts.count",
	"mounting holes": "bolts.count", "bolt holes": "bolts.count", "bolt hole diameter": "bolts.hole", "mounting screw hole": "bolts.hole",
}

// notTaken are figures of makers' sheets that look like one that counts and are another.
var notTaken = map[string]string{
	"size": "a nominal size, not the effective diameter", "nominal size": "a nominal size, not the effective diameter",
	"nominal diameter": "a nominal size, not the effective diameter", "diameter": "which diameter is not said",
	"max power": "the greatest power, not the continuous one", "peak power": "the peak power, not the continuous one",
	"maximum power": "the greatest power, not the continuous one", "music power": "not the continuous power", "program power": "not the continuous power",
	"mmd": "the moving mass without its load of air; mms is with it", "mass": "of what is not said",
	"frequency range": "not used", "frequency response": "not used", "ebp": "not used",
}
