package demo

// axle says which wheels are driven.
type axle int

const (
	frontDriven axle = iota
	rearDriven
	allDriven
)

func (a axle) String() string { return [...]string{"front", "rear", "all"}[a] }

// boxKind is how a gearbox is shifted.
type boxKind int

const (
	synchroLift boxKind = iota // throttle lifted, clutch
	synchroFlat                // throttle held, ignition cut, clutch
	dogCut                     // lever, ignition cut, clutch stays closed
	paddleCut                  // actuator, shorter ignition cut
)

// phys is a car's own parameters as they are, not as its owner knows them.
type phys struct {
	law *forms // by which it runs
	body
	driveline
	tyre
	engine
	airpath
	fuelSystem
	fluids
}

type body struct {
	mass        float64 // kg with driver and fuel
	cda         float64 // m²
	yawDrag     float64 // share of cda added per (rad of yaw)²
	clf, clr    float64 // m², down-force positive
	crr0        float64 // rolling resistance at rest
	crrv        float64 // (s/m)², its growth with speed squared
	wheelbase   float64
	hcg         float64
	wf          float64 // static share of weight on the front axle
	pitchPerG   float64 // rad of lean per m/s²
	pitchFreq   float64 // Hz
	pitchDamp   float64 // share of critical
	directShare float64 // of load transfer that does not wait for the body
	brakeDecel  float64 // m/s² that the driver uses after the line
}

type driveline struct {
	driven            axle
	gears             []float64
	final             float64
	mesh              float64 // share of torque that passes the gears
	spin              float64 // N·m at the input shaft, oil and bearings
	jEngine           float64
	jInput            float64
	jOut              float64 // propeller shaft and differential, at hub speed
	jDriven           float64
	jUndriven         float64
	shaftK            float64 // N·m/rad, both half shafts, at hub speed
	shaftC            float64 // N·m·s/rad
	clutchTorque      float64 // N·m when cold
	clutchHeat        float64 // J/K of the disc
	clutchFade        float64 // share of torque lost per 100 K over 450 K
	clutchRelease     float64 // s from first bite to closed
	clutchBite        float64 // share of clutch torque at first bite
	box               boxKind
	shiftTime         float64 // s between driver's begin and gear engaged
	shiftScatter      float64 // share
	launchSpeed       float64 // rad/s
	launchThrottle    float64 // s to bring the throttle in
	wheelspinMax      float64 // share of slip at which the driver pedals
	slipCutAt         float64 // share of slip at which electronics cut; 0 none
	slipCutGain       float64
	shiftAim          []float64 // rad/s
	shiftAimScatter   float64   // rad/s
	undrivenRadiusOff float64   // share by which undriven tyres differ in radius
}

type tyre struct {
	law         *forms // the car's
	r0          float64
	grow        float64 // (s/m)², relative growth of radius with tread speed squared
	deflect     float64 // relative loss of radius per relative load
	mu0         float64 // peak friction at reference load, pressure, tread heat
	fall        float64 // share of mu left at high sliding speed
	vFall       float64 // m/s, sliding speed scale of that fall
	stiff       float64 // slip stiffness over load
	fzRef       float64 // N per axle
	relax       float64 // m
	pOpt        float64 // Pa gauge of best grip, hot
	pSens       float64 // share lost per (100 kPa)²
	pGrow       float64 // share of growth lost per 100 kPa
	tOpt        float64 // K of best tread
	tWidth      float64 // K
	treadHeat   float64 // J/K of the tread surface per axle
	treadCool   float64 // W/K
	pCold       float64 // Pa gauge
	tyreSize    string
	setCircum   float64 // m, as set in the logger
	unloadedAdd float64 // m by which the free radius exceeds r0
}

// fuel is what an engine burns.
type fuel struct {
	name    string
	afr     float64 // kg air per kg, stoichiometric
	lhv     float64 // J/kg
	density float64 // kg/m³
	latent  float64 // J/kg
	octane  float64 // deg of ignition that knock allows beyond gasoline
	ethanol float64 // volume share; −1 when not a gasoline-ethanol blend
}

type engine struct {
	vd          float64 // m³
	cyl         int
	banks       int
	layout      string
	rc          float64
	ve          []float64 // volumetric efficiency at ve0, ve0+veStep …
	veStep      float64   // rad/s
	etaInd      float64   // best indicated efficiency
	f0, f1, f2  float64   // Pa, Pa·s, Pa·s²: friction
	mbt0        float64   // deg at 300 rad/s, low load
	ignBoost    float64   // deg lost per 100 kPa of boost in the map
	ignBase     float64   // deg at atmospheric pressure
	lambdaWot   float64   // target under boost
	fuel        fuel
	idle        float64
	revLimit    float64
	exShare     float64 // of fuel energy in the exhaust
	torqueNoise float64 // share
}

type airpath struct {
	turbos       int
	compRadius   float64 // m
	compPhi      float64 // flow coefficient of best work
	compPsi      float64
	compChoke    float64 // flow coefficient at which the wheel is full, low speed
	turbRadius   float64
	turbArea     float64 // m² each
	turbEta      float64
	jRotor       float64
	bearing      float64 // N·m·s/rad
	gateArea     float64 // m² in all
	gateSpring   float64 // Pa gauge at which the gate cracks, no duty
	gateRange    float64 // Pa from crack to full lift
	gateAssist   float64 // share of exhaust pressure helping it open
	gateLag      float64 // s
	gateBleed    float64 // share of boost that the solenoid can keep off the diaphragm
	ctlP, ctlI   float64 // duty per Pa, duty per Pa·s
	ctlRate      float64 // duty per s
	absolute     bool    // boost set-point is absolute in the engine computer
	vPlenum      float64
	vManifold    float64
	vExhaust     float64
	throttleArea float64
	bypassArea   float64
	bypassSpring float64
	filterLoss   float64 // Pa/(kg/s)²
	tailLoss     float64 // Pa/(kg/s)²
	ductLength   float64
	ductArea     float64
	coolerEff    float64
	coolerHeat   float64 // J/K of core or tank
	coolerAir    float64 // W/K to the air at 50 m/s; 0 for a tank
	coolerLoss   float64 // Pa/(kg/s)²
	boost        []float64
	launchBoost  float64 // Pa gauge that the launch limiter may build
	turboText    string
	maxTurbo     float64 // rad/s that the maker allows
}

type fuelSystem struct {
	injFlow    float64 // m³/s of all injectors at base pressure
	basePress  float64 // Pa over the manifold
	pumpFlow   float64 // m³/s at base pressure and 13.5 V
	pumpDrop   float64 // share lost per 100 kPa of rail gauge pressure
	n2oFlow    float64 // kg/s; 0 none
	n2oBelow   float64 // Pa of boost under target that opens it
	n2oGears   []int
	trimSpeed  float64 // 1/s of the closed-loop trim
	compRail   bool    // engine computer corrects for measured rail pressure
	bottleHeat float64 // Pa lost per kg drawn
}

type fluids struct {
	oilRelief   float64 // Pa gauge
	oilPerSpeed float64 // Pa·s at 370 K
	coolantCap  float64 // Pa gauge, cap
	blowby      float64 // Pa gauge per Pa of cylinder load
	knockBase   float64 // V
	egtSpread   []float64
	thermostat  float64
	radiator    float64 // W/K at 50 m/s
	coolantHeat float64 // J/K
	oilHeat     float64 // J/K
}
