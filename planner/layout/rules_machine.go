package layout

import "echowright/planner/quantity"

// Short names for what the tables below use most.
var (
	lengths       = []quantity.Kind{quantity.Length}
	points        = []quantity.Kind{quantity.Length, quantity.Length}
	angles        = []quantity.Kind{quantity.Angle}
	frequencies   = []quantity.Kind{quantity.Frequency}
	times         = []quantity.Kind{quantity.Time}
	temperatures  = []quantity.Kind{quantity.Temperature}
	humidities    = []quantity.Kind{quantity.Humidity}
	pressures     = []quantity.Kind{quantity.Pressure}
	levels        = []quantity.Kind{quantity.Level}
	shares        = []quantity.Kind{quantity.Share}
	speeds        = []quantity.Kind{quantity.Speed}
	voltages      = []quantity.Kind{quantity.Voltage}
	currents      = []quantity.Kind{quantity.Current}
	accelerations = []quantity.Kind{quantity.Acceleration}
	turnSpeeds    = []quantity.Kind{quantity.AngularSpeed}
)

// Bounds used more than once.
const (
	weatherWithin = "-50..60 degC"
	heightWithin  = "-10..100 m"
	sizeWithin    = "0.0001..1000 m"
	carrierWithin = "1..1000 kHz"
	turnWithin    = "-80..80 deg"
	placeWithin   = "-1000..1000 m" // well inside what geometry/region can hold
)

// Most entries of their kinds that one layout may have: far above any machine, and few enough for an
// answer within seconds. The tests hold the documents' time and memory to that. Corners cost more than in
// proportion: twelve sensors on an outline of a thousand, each second one a bay, take 6 s of computing, and four
// times that on one of two thousand.
const (
	MaxSensors = 200
	MaxCorners = 1_000 // of the outline, of all parts together, of a zone
	mostStates = 12
	mostParts  = 100
	mostZones  = 40
	mostNamed  = 200 // kinds and targets
	mostRows   = 1_000
)

const (
	offsetGood  = "300 mm"
	offsetBad   = "300"
	outlineGood = "[[1 m, -1 m], [1 m, 1 m], [-1 m, 1 m], [-1 m, -1 m]]"
	pathGood    = "M 1 -1 L 1 1 L -1 1 L -1 -1 Z"
)

// topRules are the keys every file begins with.
var topRules = []Rule{
	{Path: "echowright", Form: Whole, Within: "1..1", Need: true, Doc: "Version of this format.", Good: "1", Bad: "2"},
	{Path: "name", Form: Text, Doc: "What the report calls it.", Good: "yard cart, four sensors", Bad: "[yard, cart]", Default: "unnamed"},
}

// machineRules are the surroundings and the machine itself.
var machineRules = []Rule{
	{Path: "air", Form: Map, Doc: "The span of weather the machine works in: coverage counts at the worst of it, disturbance at the best.", Good: "{temperature: 5..35 degC, humidity: 20..90 %}", Bad: "warm"},
	{Path: "air.temperature", Form: Span, Single: true, Units: temperatures, Within: weatherWithin, Default: "5..35 degC", Doc: "Coldest and warmest air.", Good: "-15..35 degC", Bad: "35..-15 degC"},
	{Path: "air.humidity", Form: Span, Single: true, Units: humidities, Default: "20..90 %", Doc: "Driest and dampest air, as relative humidity.", Good: "25..70 %", Bad: "25..170 %"},
	{Path: "air.pressure", Form: Span, Single: true, Units: pressures, Default: "950..1050 hPa", Doc: "Least and greatest pressure of the air at the place, not reduced to sea level.", Good: "900..1030 hPa", Bad: "900..1030"},
	{Path: "air.wind", Form: Text, Later: "wind is not worked out yet", Doc: "Wind.", Bad: "5 m/s"},

	{Path: "around", Form: Map, Doc: "What may stand round the machine; it decides how long sound lives.", Good: "{ground: smooth, walls: 0.5..8 m, bounces: 1}", Bad: "[smooth]"},
	{Path: "around.ground", Form: Choice, Words: []string{"smooth", "asphalt", "gravel", "grass", "none"}, LaterWords: []string{"mud", "ice"}, Later: "mud and ice are not worked out yet", Default: "smooth", Doc: "What it stands on; none means nothing below that could answer.", Good: "gravel", Bad: "gravle"},
	{Path: "around.walls", Form: Span, Single: true, Units: lengths, Within: "0.01..100 m", Instead: []string{"none"}, Default: "0.5..8 m", Doc: "Distances from the body at which a reflecting wall may stand, or none.", Good: "0.5..8 m", Bad: "8..0.5 m"},
	{Path: "around.bounces", Form: Whole, Within: "0..2", LaterWithin: "3..9", Later: "more than two bounces are not worked out yet", Default: "1", Doc: "How many reflections a disturbing sound may take.", Good: "2", Bad: "3"},
	{Path: "around.air-hiss", Form: Text, Later: "the noise of escaping air is not worked out yet", Doc: "Noise of escaping air.", Bad: "brakes"},
	{Path: "around.structure-borne", Form: Text, Later: "sound through the structure is not worked out yet", Doc: "Sound that travels through the machine's structure.", Bad: "-40 dB"},

	{Path: "body", Form: Map, Need: true, Doc: "The machine: its outline and what protrudes from it.", Good: "{outline: {rectangle: [0.7 m, 0.5 m], corner: 100 mm, height: 80..320 mm}}", Bad: "0.7 m"},
	{Path: "body.outline", Form: Map, Need: true, OneOf: []Alternatives{{Keys: []string{"rectangle", "polygon", "path"}}}, Doc: "The closed curve round the machine seen from above; x is forward, y is left.", Good: "{rectangle: [0.7 m, 0.5 m], height: 80..320 mm}", Bad: "{height: 80..320 mm}"},
	{Path: "body.outline.rectangle", Form: Row, Units: points, Within: sizeWithin, Doc: "Length along x and width along y.", Good: "[0.7 m, 0.5 m]", Bad: "[0.7 m]"},
	{Path: "body.outline.corner", Form: Quantity, Units: lengths, Within: "0..500 m", When: "rectangle", Default: "0 mm", Doc: "Radius of the rectangle's corners.", Good: "100 mm", Bad: "-100 mm"},
	{Path: "body.outline.centre", Form: Row, Units: points, Within: placeWithin, When: "rectangle", Default: "[0 m, 0 m]", Doc: "Middle of the rectangle.", Good: "[0.1 m, 0 m]", Bad: "[0.1, 0]"},
	{Path: "body.outline.polygon", Form: List, Least: 3, Most: MaxCorners, Doc: "Corners in order, either way round.", Good: outlineGood, Bad: "[[1 m, 0 m], [0 m, 1 m]]"},
	{Path: "body.outline.polygon[]", Form: Row, Units: points, Within: placeWithin, Doc: "One corner: x, y.", Good: "[1 m, 0.2 m]", Bad: "[1 m, 0.2 m, 0 m]"},
	{Path: "body.outline.path", Form: Text, Doc: "The `d` of an SVG path, lines, arcs and curves; its y must point to the left of the machine. At most 1000 corners once its curves are drawn to 0.1 mm.", Good: pathGood, Bad: "{d: M 0 0}"},
	{Path: "body.outline.scale", Form: Quantity, Units: lengths, Within: "0.000001..100 m", When: "path", Default: "1 mm", Doc: "How long one unit of the path is.", Good: "10 mm", Bad: "10"},
	{Path: "body.outline.height", Form: Span, Units: lengths, Within: heightWithin, Need: true, Doc: "Lower and upper edge above the ground.", Good: "80..320 mm", Bad: "320..80 mm"},

	{Path: "body.parts", Form: List, Most: mostParts, Doc: "What is fixed to the machine and may shade a beam or answer it. At most 1000 corners in all, round ones drawn to 0.1 mm.", Good: "[{name: mast, circle: 40 mm, centre: [0 m, 0 m], height: 0.3..1.2 m}]", Bad: "mast"},
	{Path: "body.parts[]", Form: Map, OneOf: []Alternatives{{Keys: []string{"polygon", "circle"}}}, Doc: "One part.", Good: "{name: mast, circle: 40 mm, centre: [0 m, 0 m], height: 0.3..1.2 m}", Bad: "{name: mast, height: 0.3..1.2 m}"},
	{Path: "body.parts[].name", Form: Name, Need: true, Doc: "Its name.", Good: "tow jaw", Bad: "tow.jaw"},
	{Path: "body.parts[].polygon", Form: List, Least: 3, Most: MaxCorners, Doc: "Corners in order, either way round.", Good: outlineGood, Bad: "[1 m, 0 m]"},
	{Path: "body.parts[].polygon[]", Form: Row, Units: points, Within: placeWithin, Doc: "One corner: x, y.", Good: "[1 m, 0.2 m]", Bad: "[1 m]"},
	{Path: "body.parts[].circle", Form: Quantity, Units: lengths, Within: sizeWithin, Doc: "Diameter of a round part.", Good: "40 mm", Bad: "40 ms"},
	{Path: "body.parts[].centre", Form: Row, Units: points, Within: placeWithin, When: "circle", Need: true, Doc: "Middle of the round part.", Good: "[-0.25 m, 0 m]", Bad: "[-0.25 m, middle]"},
	{Path: "body.parts[].height", Form: Span, Units: lengths, Within: heightWithin, Need: true, Doc: "Lower and upper edge above the ground.", Good: "350..500 mm", Bad: "350-500 mm"},
	{Path: "body.parts[].only-in", Form: Name, Many: true, Doc: "States it is there in; without it in all.", Good: "ramp down", Bad: "{ramp: down}"},
	{Path: "states", Form: List, Least: 1, Most: mostStates, Doc: "Names of the states the machine can be in; there is a verdict for each.", Good: "[ramp up, ramp down]", Bad: "ramp up"},
	{Path: "states[]", Form: Name, Doc: "One state.", Good: "ramp up", Bad: "off"},
}
