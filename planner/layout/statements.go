package layout

// statement is a rule about the whole file with an example each way: keys at the top of a layout.
type statement struct{ text, good, bad string }

// statements are the rules that belong to no single key.
var statements = []statement{
	{"A quantity is a number with its unit; nothing is assumed of a bare number.", "air: {temperature: 20 degC}", "air: {temperature: 20}"},
	{"A span is two numbers with two dots between, the lesser first; the unit after the second serves both.", "air: {temperature: -15..35 degC}", "air: {temperature: 35..-15 degC}"},
	{"Numbers have a decimal point, not a comma, and are finite.", "around: {walls: 0.5..8 m}", "around: {walls: 0.5..inf m}"},
	{"A place is a list of two lengths, x forward and y left; angles count counter-clockwise from straight ahead.", "body: {outline: {rectangle: [0.7 m, 0.5 m], centre: [0 m, 20 mm], height: 80..320 mm}}", "body: {outline: {rectangle: [0.7 m, 0.5 m], centre: [0, 20], height: 80..320 mm}}"},
	{"A value of a module may be a map of the value, its spread and where it comes from (datasheet, bench or estimate). A `source` beside several values serves those that have none of their own.", "kinds: {my-can: {like: near-wide, carrier: {value: 40 kHz, spread: 1 kHz, source: datasheet}}}", "kinds: {my-can: {like: near-wide, carrier: {spread: 1 kHz, source: datasheet}}}"},
	{"What is unknown is left out: a stated default takes its place and the plan names it.", "around: {ground: grass}", "around: {ground: }"},
	{"A key stands once in its map.", "tolerance: {heading: 3 deg, tilt: 2 deg}", "tolerance: {heading: 3 deg, heading: 2 deg}"},
	{"A key that is not known is an error, never passed over.", "wishes: {cycle: 250 ms}", "wishes: {cycel: 250 ms}"},
	{"Names have letters, digits, blanks, - and _, and begin with a letter.", "states: [ramp up, ramp down]", "states: [2nd, 3rd]"},
	{"A name or text that some readers take for a number, a date, true or false stands in quotes.", "name: \"2024\"", "name: 2024"},
	{"Only true and false are true and false.", "sensors: [{name: eye, kind: near-wide, at: {from: front}, height: 200 mm, recessed: true}]", "sensors: [{name: eye, kind: near-wide, at: {from: front}, height: 200 mm, recessed: on}]"},
	{"A value can be named by & and used again by *; it is then read as if written out.", "tolerance: {heading: &turn 3 deg, tilt: *turn}", "tolerance: {heading: &turn 3 deg, tilt: *turns}"},
	{"Merge keys and tags are not read.", "tolerance: {heading: 3 deg}", "tolerance: {<<: {heading: 3 deg}}"},
	{"Names of sensors, of zones, of parts and of states differ within their list.", "states: [up, down]", "states: [up, up]"},
	{"A state named by only-in is one of `states`.", "zones: [{name: lane, swept: {way: forward, reach: 1 m}, target: wall}]", "zones: [{name: lane, swept: {way: forward, reach: 1 m}, target: wall, only-in: loaded}]"},
	{"Several sensors of one entry have a `count` and a `spread`.", "sensors: [{name: eye, count: 3, kind: near-wide, at: {from: front, spread: -100..100 mm}, height: 200 mm}]", "sensors: [{name: eye, count: 3, kind: near-wide, at: {from: front}, height: 200 mm}]"},
	{"All entries together stand for at most 200 sensors.", "sensors: [{name: eye, count: 200, kind: near-wide, at: {from: front, spread: -100..100 mm}, height: 200 mm}]", "sensors: [{name: eye, count: 150, kind: near-wide, at: {from: front, spread: -100..100 mm}, height: 200 mm}, {name: ear, count: 51, kind: near-wide, at: {from: front, spread: -100..100 mm}, height: 100 mm}]"},
	{"A sector is at most a full turn.", "zones: [{name: ring, sector: {centre: [0 m, 0 m], radius: 0.5..1 m, bearing: 0..360 deg}, target: wall}]", "zones: [{name: ring, sector: {centre: [0 m, 0 m], radius: 0.5..1 m, bearing: -200..200 deg}, target: wall}]"},
	{"Points of a threshold rise in time.", "kinds: {my-can: {threshold: {over-time: [[1 ms, 20 dB], [4 ms, 0 dB]]}}}", "kinds: {my-can: {threshold: {over-time: [[4 ms, 20 dB], [1 ms, 0 dB]]}}}"},
	{"Of so many readings in a row no more can agree.", "motion: {way: forward, speed: 1 m/s, confirm: 3 of 3}", "motion: {way: forward, speed: 1 m/s, confirm: 3 of 2}"},
	{"A wire says what its sensors share.", "wires: [{sensors: eye, bus: rear}]", "wires: [{sensors: eye}]"},
	{"An address on a bus has seven bits and is none of those the bus keeps for itself.", "wires: [{sensors: eye, bus: rear, addresses: [0x70]}]", "wires: [{sensors: eye, bus: rear, addresses: [0xe0]}]"},
	{"Lines are indented with blanks.", "air:\n  temperature: 20 degC", "air:\n\ttemperature: 20 degC"},
	{"A file holds one layout.", "name: cart", "name: cart\n---\nname: other"},
}
