package layout

// firingRules say what fires the modules and what the builder wants of it.
var firingRules = []Rule{
	{Path: "controller", Form: Map, Doc: "What fires and reads the modules.", Good: "{clock: 16 MHz, reading: blocking, at-once: 1}", Bad: "16 MHz"},
	{Path: "controller.clock", Form: Quantity, Units: frequencies, Within: "1 kHz..10 GHz", Doc: "Clock of the processor.", Good: "16 MHz", Bad: "16 Mhz"},
	{Path: "controller.clock-error", Form: Quantity, Units: shares, Within: "0..20 %", Default: "1 %", Doc: "How far its clock may be off.", Good: "0.5 %", Bad: "50 %"},
	{Path: "controller.tick", Form: Quantity, Units: times, Within: "0..10 ms", Default: "1 us", Doc: "Step of the timer that takes readings.", Good: "4 us", Bad: "4 s"},
	{Path: "controller.pin-level", Form: Quantity, Units: voltages, Within: "0.5..60 V", Doc: "Level of its signal pins.", Good: "3.3 V", Bad: "3.3"},
	{Path: "controller.reading", Form: Choice, Words: []string{"blocking", "capture", "polled"}, Default: "blocking", Doc: "Whether it waits for each echo, lets timer hardware record edges, or polls.", Good: "capture", Bad: "interrupt"},
	{Path: "controller.at-once", Form: Whole, Within: "1..200", Default: "1", Doc: "How many readings it can take at once.", Good: "4", Bad: "0"},
	{Path: "controller.edge-cost", Form: Quantity, Units: times, Within: "0..10 ms", Default: "0 us", Doc: "Processor time one edge takes.", Good: "6 us", Bad: "6 m"},
	{Path: "controller.boot", Form: Quantity, Units: times, Within: "0..600 s", Default: "0 ms", Doc: "From power on to the first firing.", Good: "60 ms", Bad: "-60 ms"},
	{Path: "controller.powered-from", Form: Text, Doc: "What feeds it.", Good: "reversing lamp", Bad: "[lamp]"},
	{Path: "controller.rail", Form: Quantity, Units: voltages, Within: "0.5..60 V", Doc: "Supply rail of the modules.", Good: "5 V", Bad: "500 V"},
	{Path: "controller.rail-limit", Form: Quantity, Units: currents, Doc: "Greatest current the rail can give.", Good: "500 mA", Bad: "500 mAh"},

	{Path: "tolerance", Form: Map, Doc: "How far the built machine may differ from the drawing.", Good: "{heading: 3 deg, place: 5 mm}", Bad: "3 deg"},
	{Path: "tolerance.heading", Form: Quantity, Units: angles, Within: "0..45 deg", Default: "0 deg", Doc: "Headings, plus or minus.", Good: "3 deg", Bad: "-3 deg"},
	{Path: "tolerance.tilt", Form: Quantity, Units: angles, Within: "0..45 deg", Default: "0 deg", Doc: "Tilts, plus or minus.", Good: "2 deg", Bad: "2 mm"},
	{Path: "tolerance.place", Form: Quantity, Units: lengths, Within: "0..1 m", Default: "0 mm", Doc: "Places, plus or minus.", Good: "5 mm", Bad: "5"},
	{Path: "tolerance.threshold", Form: Quantity, Units: levels, Within: "0..40 dB", Default: "0 dB", Doc: "Detection thresholds from one module to the next, plus or minus.", Good: "3 dB", Bad: "3 %"},

	{Path: "wishes", Form: Map, Doc: "What is asked of the firing plan.", Good: "{style: slots, cycle: 250 ms, guard: 1 ms}", Bad: "fast"},
	{Path: "wishes.style", Form: Choice, Words: []string{"slots", "staggered", "as-read"}, Default: "slots", Doc: "How firings are arranged: slots are groups that fire together, staggered gives each sensor a time of its own, as-read goes on to the next sensor as soon as an echo has come.", Good: "slots", Bad: "waves"},
	{Path: "wishes.cycle", Form: Quantity, Units: times, Within: "1 ms..100 s", Doc: "Longest cycle in which every sensor shall have fired.", Good: "250 ms", Bad: "250"},
	{Path: "wishes.guard", Form: Quantity, Units: times, Within: "0..1000 ms", Default: "1 ms", Doc: "Quiet time kept between groups.", Good: "0.5 ms", Bad: "0.5 m"},
	{Path: "wishes.jitter", Form: Quantity, Units: times, Within: "0..1000 ms", Default: "0.1 ms", Doc: "Each firing may be off by up to this, plus or minus.", Good: "0.1 ms", Bad: "0.1 dB"},
	{Path: "wishes.refresh", Form: BySensor, Most: MaxSensors, Doc: "Longest time from one firing of a sensor to its next, the jitter of both and the error of the clock included, by the names of sensors, such as `bow.1`, or of their entries. Such sensors may fire several times a cycle.", Good: "{bow: 60 ms, side.left: 240 ms}", Bad: "60 ms"},
	{Path: "wishes.refresh.*", Form: Quantity, Units: times, Within: "1 ms..100 s", Doc: "Longest time from one firing to the next of this sensor, or of each of this entry.", Good: "60 ms", Bad: "60"},
	{Path: "wishes.delays", Form: Map, Doc: "Against ghosts that keep coming: each firing comes later by a delay that changes from cycle to cycle, and a reading that differs too much from the one before is dropped. Without it every cycle is alike.", Good: "{way: alternating, movers: 1.6 m/s}", Bad: "20 ms"},
	{Path: "wishes.delays.way", Form: Choice, Words: []string{"alternating", "dithered"}, Need: true, Doc: "Alternating: each sensor fires later in every second cycle, by as few different delays as do. Dithered: every firing comes later by a time drawn anew.", Good: "alternating", Bad: "random"},
	// A person's walk: 1600 mm/s in ISO 13855:2010, from memory.
	{Path: "wishes.delays.movers", Form: Quantity, Units: speeds, Within: "0..50 m/s", Default: "1.6 m/s", Doc: "Greatest speed of things around; with the machine's own it says how much a true echo may change from one reading to the next.", Good: "0 m/s", Bad: "-1 m/s"},
	{Path: "wishes.delays.span", Form: Quantity, Units: times, Within: "0.1..1000 ms", When: "way: dithered", Default: "20 ms", Doc: "Longest delay that is drawn; the shortest is none.", Good: "20 ms", Bad: "20 s"},
	{Path: "wishes.delays.seed", Form: Whole, Within: "1..1000000000", When: "way: dithered", Default: "1", Doc: "What the delays are drawn from: the same seed gives the same table.", Good: "7", Bad: "0"},
	{Path: "wishes.first-warning", Form: Quantity, Units: times, Within: "1 ms..600 s", Doc: "Longest time from power on to the first warning.", Good: "1.2 s", Bad: "1.2"},
}

// motionRules say how the machine moves and stops. The defaults are common practice, no source: a person
// who has to see the warning and act, and gentle braking.
var motionRules = []Rule{
	{Path: "motion", Form: Map, Doc: "How the machine moves and stops; it decides how early a warning must come.", Good: "{way: backward, speed: 0.8 m/s, reaction: 1 s, deceleration: 2 m/s2}", Bad: "0.8 m/s"},
	{Path: "motion.way", Form: Choice, Words: ways, Need: true, Doc: "Which way it goes.", Good: "backward", Bad: "reverse"},
	{Path: "motion.speed", Form: Quantity, Units: speeds, Within: "0.001..50 m/s", Need: true, Doc: "Its greatest speed that way.", Good: "0.8 m/s", Bad: "0.8 m/s2"},
	{Path: "motion.turn", Form: Span, Single: true, Units: turnSpeeds, Within: "-720..720 deg/s", Default: "0 deg/s", Doc: "How fast it may turn meanwhile, counter-clockwise.", Good: "-60..60 deg/s", Bad: "-60..60 deg"},
	{Path: "motion.reaction", Form: Quantity, Units: times, Within: "0..60 s", Default: "1 s", Doc: "From a warning until braking begins: the driver, or the program.", Good: "60 ms", Bad: "60 m"},
	{Path: "motion.deceleration", Form: Quantity, Units: accelerations, Within: "0.01..50 m/s2", Default: "1 m/s2", Doc: "How hard it brakes.", Good: "2 m/s2", Bad: "2 m/s"},
	{Path: "motion.margin", Form: Quantity, Units: lengths, Within: "0..10 m", Default: "100 mm", Doc: "Distance to be left when it stands.", Good: "200 mm", Bad: "200"},
	{Path: "motion.confirm", Form: OfMany, Within: "1..20", Default: "1 of 1", Doc: "How many readings of how many in a row must agree before it warns.", Good: "2 of 3", Bad: "two of three"},
}

// wireRules say which lines several modules share.
var wireRules = []Rule{
	{Path: "wires", Form: List, Most: MaxSensors, Doc: "Lines and buses that modules share.", Good: "[{sensors: [bow.1, bow.5], trigger: shared}]", Bad: "{trigger: shared}"},
	{Path: "wires[]", Form: Map, OneOf: []Alternatives{{Keys: []string{"trigger", "chained"}, AtMost: true}}, Doc: "One of them: at least one of trigger, echo, bus and chained.", Good: "{sensors: [bow.1, bow.5], trigger: shared}", Bad: "{trigger: shared}"},
	{Path: "wires[].sensors", Form: Mounted, Many: true, Need: true, Doc: "Sensors by their names, such as `bow.1`; the name of an entry stands for all of its own.", Good: "[bow.1, bow.5]", Bad: "[1, 5]"},
	{Path: "wires[].trigger", Form: Choice, Words: []string{"shared"}, Doc: "They hang on one trigger line, so they fire together.", Good: "shared", Bad: "joined"},
	{Path: "wires[].echo", Form: Choice, Words: []string{"joined"}, Doc: "Their echoes come in on one line, so they never fire together.", Good: "joined", Bad: "shared"},
	{Path: "wires[].chained", Form: Flag, Doc: "Each starts the next by itself as soon as it is done, in the order given; the controller triggers the first alone. No group is put between them where that can be, no guard is kept between them, and whatever sound may get in that way is reported.", Good: "true", Bad: "yes"},
	{Path: "wires[].bus", Form: Name, Doc: "Name of the bus they answer on, for modules with a two-wire bus or a serial line.", Good: "rear", Bad: "2"},
	{Path: "wires[].speed", Form: Quantity, Units: frequencies, Within: "100 Hz..10 MHz", When: "bus", Doc: "Clock of a two-wire bus, or bits in a second of a serial line; without it 100 kHz and 9600 Hz. It is noted and must be the same all along the bus, but decides nothing yet: how long an answer is fetched comes from the kind's `timing.transfer`.", Good: "100 kHz", Bad: "100"},
	{Path: "wires[].addresses", Form: List, Least: 1, Most: MaxSensors, When: "bus", Doc: "Their addresses on the bus, one for each in order.", Good: "[0x30, 0x31]", Bad: "0x30"},
	{Path: "wires[].addresses[]", Form: Address, Doc: "One address of seven bits, as 0x and two digits or as a plain number.", Good: "0x30", Bad: "30h"},
	{Path: "wires[].start", Form: Choice, Words: []string{"each", "broadcast"}, When: "bus", Default: "each", Doc: "Whether each is asked by itself, or one call starts all of them, so that they fire together.", Good: "broadcast", Bad: "all"},
}

// ways are the directions of travel along the body.
var ways = []string{"forward", "backward", "left", "right"}
