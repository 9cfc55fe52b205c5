package dictionary

import (
	"slices"
	"strings"
	"sync"
)

// sense is one meaning of a word: the ideas it carries all at once.
type sense = features

// lexiconLine is words that share their ideas.
type lexiconLine struct {
	ideas []feature
	words string
}

// lexicon lists words by meaning, in several languages. A word that stands in
// several lines has several senses; the rules choose. Spellings are as the
// languages write them: folding (words.go) makes "Kühlmittel", "Kuhlmittel" and
// "Kuehlmittel" one. A leading ~ keeps a word out of compounds: it counts only
// when it stands alone.
//
// Order of languages in a line: English and its abbreviations, German, French,
// Spanish and Portuguese, Italian, Dutch, Swedish and Danish, Polish and Czech,
// Finnish, Japanese (romanised and written), Russian.
var lexicon = []lexiconLine{
	{[]feature{fPressure}, "atsu pressure press pres ~prs ~p pr druck pression presión presion pressão pressao pressione druk tryck tryk ciśnienie cisnienie ciśn tlak paine atsuryoku 圧力 圧 давление ~psr presja nyomás basınç basınc 压力 圧力値 압력 trykk paineen paineet tlaku ciśnienia 壓力 πίεση tegendruk ~press ~pr ~dr ~psi ~psig"},
	{[]feature{fTemperature}, "temperature temp temps tmp ~t ~tm temperatur température temperatura temperatuur teplota lämpötila ondo 温度 温 температура ~te темп ~temper hőmérséklet hőm sıcaklık sicaklik 温度値 溫度 온도 temperaturen lämpötilan teploty θερμοκρασία тем ~tem temperatuuri"},
	{[]feature{fSpeed}, "speed spd ~v velocity vel ~vitesse ~vit geschwindigkeit ~geschw ~gesch velocidad velocidade velocità velocita ~veloc snelheid hastighet hastighed ~hast prędkość predkosc rychlost nopeus sokudo 速度 速 скорость ~vss tempo sebesség hız hiz 速率 车速 속도 fart nopeuden rychlosti prędkości ταχύτητα ~veh_spd ~vrs hastigheten"},
	{[]feature{fVehicle, fSpeed}, "vss shasoku 車速 tachometer ~kph ~mph ~kmh ~vspd ~vspeed fahrgeschwindigkeit"},
	{[]feature{fRotation}, "rpm rpms rotation rotations revs rev ~n drehzahl régime regime tours régimen regimen revoluciones rotação rotacao rotações giri toerental toeren varvtal omdrejninger omdrejningstal obroty otáčky otacky kierrosluku kierrokset kaiten kaitensu 回転数 回転 обороты ~u turns tacho fordulatszám devir 转速 轉速 회전수 omdreininger turtall turtal kierrosnopeus pyörimisnopeus στροφές varv otáček obrotów vueltas tours_min ~rég ~reg ~drehz ~umdr ~rpm1 ~giri ~ntours"},
	{[]feature{fRotation, fEngine}, "~ne ~nmot nengine enginerpm ~tach ~neng ~nmotor ~ndk ~rpmeng ~engrpm ~engspd"},
	{[]feature{fAccel}, "acceleration accel acc accn ~g gforce ~gs accelerometer beschleunigung beschl accélération acceleration accél aceleración aceleracion aceleração aceleracao accelerazione versnelling acceleratie acceleraation accelerationen przyspieszenie przysp zrychlení zrychleni kiihtyvyys kasokudo 加速度 ускорение beschleunigungssensor gyorsulás ivme 加速 가속도 akselerasjon akselerasyon przyśpieszenie kiihtyvyyden επιτάχυνση g-force accelerasjon ~a"},
	{[]feature{fAngle}, "angle ~ang winkel angolo ángulo angulo hoek vinkel kąt kat úhel uhel kulma kakudo 角度 角 угол szög açı aci 角值 각도 kulman"},
	{[]feature{fFlow}, "flow durchfluss durchsatz débit debit caudal flujo fluxo vazão vazao portata flusso debiet stroom flöde flode przepływ przeplyw průtok prutok virtaus ryuryo 流量 расход massenstrom strom áramlás akış 流速 유량 gjennomstrømning przepływu průtoku virtauksen ~flw ~fl ~durchfl ~vol_flow"},
	{[]feature{fFuel, fConsumption}, "fuelrate kraftstoffverbrauch spritverbrauch ~ff"},
	{[]feature{fConsumption}, "consumption ~cons usage verbrauch consommation ~conso consumo verbruik förbrukning zużycie zuzycie spotřeba kulutus nenpi 消費 fogyasztás tüketim 油耗 소비 forbruk kulutuksen zużycia spotřeby ~verbr"},
	{[]feature{fVoltage}, "voltage volt volts ~volt spannung tension tensión tensao tensione spanning spänning spaending napięcie napiecie napětí napeti jännite denatsu 電圧 電圧値 напряжение spannungs feszültség gerilim voltaj 电压 電壓 전압 spenning spænding voltaje napięcia jännitteen ~u ~vlt ~spg ~spann"},
	{[]feature{fDuty}, "duty ~dc dutycycle pwm tastverhältnis tastgrad ansteuerung puls öffnungsgrad ~ocr ~ciclo デューティ деятельность střída wypełnienie wypełnienia pulssisuhde öppningsgrad åpningsgrad kitöltés 占空比 开度比 듀티 ciclo_trabajo ~pwmduty öffnungszeitanteil taux_ouverture ~dty ~dut ~tv ~tastv share ~pct"},
	{[]feature{fPosition}, "position pos posn stellung posición posicion posição posicao posizione positie läge stilling pozycja poloha asento kaido 開度 位置 положение ~apertura ouverture öffnung opening állás konum 开度 개도 posisjon asennon położenie położenia ouv ~weg travel stroke ~stellg ~ouv ~apert"},
	{[]feature{fLevel}, "level ~lvl füllstand ~stand niveau ~nivel livello peil nivå poziom hladina taso 残量 inhalt уровень szint seviye 液位 수위 tasot"},
	{[]feature{fFuel, fLevel}, "tank tankinhalt kraftstoffstand"},
	{[]feature{fTorque}, "torque ~tq ~trq drehmoment moment couple ~par coppia koppel vridmoment moment_obrotowy torku トルク momento binario крутящий nyomaték tork 扭矩 토크 dreiemoment vääntömomentti krouticí momentu"},
	{[]feature{fHeight}, "height höhe hauteur altura altezza hoogte höjd wysokość výška 車高"},
	{[]feature{fHumidity}, "humidity ~rh ~humid feuchte luftfeuchte feuchtigkeit luftfeuchtigkeit humidité humedad umidade umidità vochtigheid fuktighet wilgotność vlhkost 湿度 влажность páratartalom 湿度値 습도 kosteus ilmankosteus"},
	{[]feature{fDistance}, "distance ~dist ~odo odometer strecke weg wegstrecke distancia distância distanza afstand sträcka dystans dráha vzdálenost 距離 расстояние"},
	{[]feature{fTime}, "time zeit tid tijd czas jikan 時間 uhrzeit heure hora время ~since duration laufzeit idő zaman süre 时间 시간 aika"},
	{[]feature{fRate}, "rate ~taux rata レート derivative ableitung dérivée derivada derivata gradient ~dt ~ddt"},
	{[]feature{fRatio}, "~taux ratio verhältnis ~rapport rapporto relación relacion relação"},
	{[]feature{fPower}, "power leistung puissance potencia potência potenza vermogen effekt moc výkon 出力 мощность ~hp ~kw"},
	{[]feature{fCurrent}, "current ~amps ampere strom courant corriente corrente stroomsterkte ström prąd proud 電流 ток"},
	{[]feature{fForce}, "force kraft kracht fuerza força forza siła síla"},
	{[]feature{fLoad}, "load last charge_moteur carga carico belasting belastning obciążenie zátěž 負荷 нагрузка"},

	{[]feature{fEngine}, "engine eng ~e motor moteur motore silnik moottori enjin エンジン двигатель ~mot crank crankshaft kurbelwelle vilebrequin kurbel motoru motorun silnika moottorin 发动机 引擎 엔진 κινητήρα двиг motoren motorn"},
	{[]feature{fManifold}, "inmani manifold ~man manif ~mani saugrohr ansaugrohr collecteur collettore colector coletor inlaatspruitstuk spruitstuk insugningsrör kolektor sací potrubí imusarja インマニ коллектор plenum saugrohrs imusarjan kolektorze kolektora kolektoru szívócső manifoldu emme_manifoldu 进气歧管 歧管 매니폴드 sugerør inlaatspruit innsugningsrør sběrné ~coll ~saug"},
	{[]feature{fManifold, fPressure}, "~imap inmaniatsu inmanatsu kyukiatsu ~map saugrohrdruck ladedruckabs ~pim ~mapsensor manifoldpressure インマニ圧 吸気圧 吸気管圧力 ~pman ~pmap ~psaug ~pcoll ~padm ~p2"},
	{[]feature{fIntake}, "intake inlet ~int ~inl ansaug einlass admission ~adm admisión admision admissão admissao aspirazione ~asp aspiration inlaat insug sugning dolot dolotowe sání sani imuilma kyuki 吸気 впуск ~inlt zuluft sacím sací nasávaného nasávání dolotowego dolotowy dolocie imuilman insugnings insugs innsugning indsugning szívó beszívott emme 进气 進氣 흡기 aanzuig inlass inlas"},
	{[]feature{fAir}, "air luft ~aire ar aria lucht powietrza powietrze vzduchu vzduch ilma kuki 空気 воздух воздуха ~l ilman levegő hava 空气 空氣 공기"},
	{[]feature{fIntake, fAir, fTemperature}, "~iat ~mat ~act ansaugtemperatur ansauglufttemperatur ~ait ~tia ~ta ~aat_intake imulämpötila 吸気温度 吸気温 ~tair ~tint ~tinl ~tman ~tans ~tadm ~tsaug ~tll"},
	{[]feature{fExhaust}, "exhaust exh ~ex abgas auspuff échappement echappement ~éch ~ech escape scarico gases uitlaat avgas udstødning spalin spaliny wydech výfuk výfuku výfukových pakokaasu haiki 排気 выхлоп ~exhst ~abg abgasgegen pakosarjan pakokaasun pako eksos udstødnings kipufogó egzoz 排气 排氣 배기 spalinowy wydechu uitlaatgas exhaustgas ~abgas"},
	{[]feature{fExhaust, fTemperature}, "egt ~egts ~tegt abgastemperatur haikion 排気温度 排気温 ~agt ~texh ~tabg ~tech ~t3"},
	{[]feature{fExhaust, fPressure}, "haiatsu ekimaniatsu ~emp ~emap ~ebp backpressure contrapresión contrapressão ~tip gegendruck abgasgegendruck contrepression contropressione 背圧 排気圧 排圧 ~egp ~p3 avgasmottryck uitlaattegendruk tegendruk mottryck egrpress vastapaine protitlak ellennyomás přetlak_výfuku ~pexh ~pabg ~pech ~p31"},
	{[]feature{fTurbine}, "turbine turbina turbin ~turb vorturbine タービン турбина"},
	{[]feature{fCompressor}, "compressor ~comp verdichter compresseur compresor compressore kompressor sprężarka sprezarka kompresor コンプレッサー компрессор lader"},
	{[]feature{fTurbo}, "tabo taabo turbo turbocharger ~tc turbolader turbocompresseur turbosprężarka turbodmychadlo ターボ турбина turba turbin turbon turbíny turbosprężarki turbodúchadla 涡轮 渦輪 터보 turboahdin ahdin ahtimen turbiny turbokompressor ~trb ~trbo"},
	{[]feature{fTurbo, fRotation}, "turborpm turbospeed turbodrehzahl ~tss ~trpm ~ntl ~nturbo ~nt ~nlader ~ntc"},
	{[]feature{fBoost}, "boost ~bst lade aufladung suralimentation sobrealimentación sobrealimentacion sovralimentazione laadt ladd doładowania doladowania doładowanie přeplňování ahto ブースト 過給 наддув ladetrykk töltő takviye 增压 增壓 부스트 ahtopaineen plnicího plnicí"},
	{[]feature{fBoost, fPressure}, "ladedruck ladedr laddtryck laaddruk ladetryk ahtopaine 過給圧 ブースト圧 суралиментация surpression ~pboost plnicí ladetrykk töltőnyomás ladedruck_ist 增压压力 부스트압"},
	{[]feature{fBaro}, "barometer barometric ~baro atmosphérique atmosferyczne atmosferický атмосферное atmosferica barometrico barométrico barometrica barométrica barometro baromètre barométrique atmospheric atmosphärisch atmosphère ~atm ~atmo atmosferico atmosférica atmosferica taiki 大気圧 大気 барометр барометрическое ~bap barométr barometr légköri atmosfer 大气 대기 atmosfærisk atmosferycznego atmosférického ~bar ~atmos"},
	{[]feature{fBaro, fPressure}, "luftdruck umgebungsdruck lufttryck luchtdruk ilmanpaine 気圧 ~pamb ~patm ~pbaro atmosphärendruck ~barprs ~pumg ~pluft ~patmo"},
	{[]feature{fAmbient}, "ambient ~amb umgebung umgebungs außen aussen extérieur exterieur ambiante ambiant ambiente exterior omgeving buiten omgivning ute otoczenia zewnętrzna zewnetrzna okolí okoli venkovní esterna esterno externa externo ulko gaiki 外気 окружающей outside környezeti külső ortam 环境 외기 ympäristö ulkoilman omgivelses otoczenie ~umg ~umgeb ~ext"},
	{[]feature{fCoolant}, "cieczy ciecz coolant ~cool kühlmittel kühlwasser ~km refroidissement ~refroid refrigerante líquido liquido arrefecimento refrigerant koelwater koelvloeistof kylvatten kylvätska kølevand płynu chłodzącego plynu chlodzacego chłodziwa chladicí chladici kapaliny jäähdytys jäähdytysneste reikyakusui 冷却水 冷却 охлаждающей ож raffreddamento jäähdytysvesi hűtővíz hűtőfolyadék soğutma 冷却液 냉각수 jäähdytysnesteen kjølevæske kjølevann kølevæske chłodziwo kylar soğutucu"},
	{[]feature{fCoolant, fTemperature}, "~wt clt ect ~cts ~wtemp ~eoct ~mct wassertemperatur suion 水温 ~tco ~ctemp ~thw kühlmitteltemp ~tw ~twat ~tcool ~tmot ~twater ~teng"},
	{[]feature{fWater}, "water wasser eau agua água acqua water vatten vand wody woda vody voda vesi mizu 水 вода ~h2o ~wtr víz su 물 jäähdytysveden veden ~wat"},
	{[]feature{fOil}, "oil öl motoröl huile aceite óleo oleo olio olie olja olje oleju olej öljy abura yu 油 オイル масло масла ~engineoil olaj yağ 机油 機油 오일 oljen öljyn oljy"},
	{[]feature{fOil, fTemperature}, "~eot ~oilt öltemperatur yuon 油温 ~toil"},
	{[]feature{fOil, fPressure}, "~eop ~oilp öldruck yuatsu 油圧 ~poil"},
	{[]feature{fFuel}, "fuel kraftstoff sprit benzin treibstoff carburant essence ~carb combustible combustivel combustível gasolina carburante benzina brandstof bränsle brændstof paliwa paliwo paliva palivo polttoaine nenryo 燃料 топливо топлива gasoline petrol ~fl ~bens gazole üzemanyag yakıt 燃油 연료 drivstoff polttoaineen bensiini bensiinin paliwowy bensin polttonesteen kraftst ~krst ~ess ~carbur ~comb ~benz ~brandst"},
	{[]feature{fFuel, fPressure}, "nenatsu ~frp ~fpr ~fp ~fuelp 燃圧 ~fps ~pfuel ~pf ~prail ~pkr"},
	{[]feature{fRail}, "rail rampe rampa ~flauta lista szívó_rail cr"},
	{[]feature{fCharge}, "charge ~chg ladeluft carga_aire laddluft suralimentée laadlucht ~cac_out töltőlevegő 增压空气"},
	{[]feature{fCharge, fTemperature}, "~cat_charge ladelufttemperatur ~tcharge ~ict ~mct2 ~postic ~caot"},
	{[]feature{fCooler}, "cooler intercooler ~ic ladeluftkühler kühler échangeur echangeur intercambiador intercooleru chłodnica chłodnicy chladič mezichladič インタークーラー aftercooler ~cac laadluchtkoeler ~chra heat exchanger"},
	{[]feature{fGearbox}, "gearbox transmission ~trans ~gbx getriebe boîte boite caja_cambios câmbio_oleo cambio_olio versnellingsbak växellåda gearkasse skrzyni skrzynia převodovka převodovky vaihteisto ミッション коробка ~gbox trans_oil differential diff ~atf váltó_olaj vites_kutusu 变速箱 변속기 girkasse vaihteiston"},
	{[]feature{fClutch}, "clutch kupplung embrayage embrague embreagem frizione koppeling koppling kobling sprzęgło sprzegla sprzeglo spojka kytkin クラッチ сцепление tengelykapcsoló kuplung debriyaj 离合器 클러치 kløtsj kytkimen ~clu ~clt ~clch ~kuppl ~emb ~embr"},
	{[]feature{fBrake}, "bureki brake brakes ~brk bremse brems bremspedal frein freno frenos freio rem rempedaal bromspedal bromsa broms hamulec hamulca brzda brzdy jarru ブレーキ тормоз ~frein fék fren 刹车 制动 브레이크 bremser jarrun jarrupoljin brzdový"},
	{[]feature{fPedal}, "pedaal pedal ~ped fahrpedal gaspedal pédale accélérateur accelerateur acelerador pedale acceleratore gaspedaal gaspedal pedał pedal_gazu pedál plynu kaasupoljin アクセル педаль ~app ~apps ~aps ~pps accelerator ~accel_pedal ~pédal gázpedál pedalı 踏板 油门踏板 페달 gasspedal kaasupolkimen polkimen"},
	{[]feature{fThrottle}, "surottoru throttle ~etb ~dbw ~thr throt ~thrtl drosselklappe drossel papillon mariposa ~mariposa_gases borboleta farfalla gasklep gasspjäll spjäll gasspjaeld przepustnica przepustnicy škrticí klapka skrtici kaasuläppä スロットル дроссель дроссельной ~dk kaasuläpän fojtószelep gaz_kelebeği kelebek 节气门 節氣門 油门 스로틀 gasspjeld spjeld ~tpsx butterfly ~bfly ~drossk ~pap ~papill ~mar ~farf klappe"},
	{[]feature{fThrottle, fPosition}, "tps ~tp ~tpos ~thp ~dkw drosselklappenstellung ~tps1 スロットル開度 ~rthr ~athr ~alphadk ~thpos"},
	{[]feature{fWheel}, "wheel wheels ~whl ~wh ~w rad räder roue roues rueda ruedas roda rodas ruota ruote wiel wielen hjul koło kola kolo kol kołо pyörä pyora sharin 車輪 輪 колесо колеса radgeschwindigkeit radgeschw kerék tekerlek 车轮 輪胎 휠 pyörän hjulet koła"},
	{[]feature{fWheel, fSpeed}, "~ws ~wss ~wspd wheelspeed radgeschwindigkeit raddrehzahl ~vroue ~vrad ~velrueda 車輪速 輪速 kerékseb 轮速 휠속도 pyörännopeus hjulhastighet hjulfart wielsnelheid"},
	{[]feature{fWheel, fFront}, "前輪"},
	{[]feature{fWheel, fRear}, "後輪"},
	{[]feature{fTyre}, "tyre tyres tire tires reifen pneu pneus pneumatico neumático neumatico band_druk däck daek opona opony pneumatika renkaan rengas タイヤ шина gumi lastik 轮胎 타이어"},
	{[]feature{fTyre, fPressure}, "~tpms"},
	{[]feature{fInjector}, "injekuta injekutaa injector injectors injection ~inj einspritz einspritzventil einspritzdüse einspritzung injecteur injecteurs inyector inyección inyeccion injetor injeção injecao iniettore iniettori iniezione injektor inspuit insprut wtryskiwacz wtryskiwaczy wtrysk vstřikovač vstřikování ruisku suutin インジェクター 噴射 форсунка ~ijpu inspuiting befecskendező injektör enjektör 喷油 噴油 喷油器 인젝터 suuttimien ruiskutus insprutare insprutning spridare vstřikovačů vstřikovače wtryskiwacza innsprøyting verstuiver einspritzungs ~ti"},
	{[]feature{fInjector, fDuty}, "~idc ~injdc ~injduty ~rinj ~dinj ~injdty ~injontime ~tiduty"},
	{[]feature{fPump}, "pump pumpe pompe bomba pompa pomp pumpa čerpadlo pumppu ポンプ насос"},
	{[]feature{fWastegate}, "wastegate ~wg ~wgdc ~bcs ~ebc ~ebcs ladedruckregelventil ladedruckventil ladedrucksteller ladedruckstellglied ladedruckregler boostcontrol ウェイストゲート вестгейт hukkaportti hukkaportin upustowy upustový obtokový obtok bypassventil 废气门 泄压阀 웨이스트게이트 soupape_décharge ~wgt ~wastg ~ldr ~ldrv"},
	{[]feature{fValve}, "valve ventil vanne válvula valvula valvola klep ventilen zawór zawor solenoid ~sol electrovanne electroválvula elettrovalvola magnetventil バルブ клапан"},
	{[]feature{fIgnition}, "ignition ~ign zünd zündung allumage encendido ignição ignicao accensione ontsteking tänd tändning tænding zapłon zaplon zapłonu zapalování zapalovani sytytys tenka 点火 зажигание зажигания spark ~spk timing zündzeitpunkt gyújtás ateşleme 점화 zážehu tenning sytytyksen ~all ~allum ~enc ~zünd ~accens"},
	{[]feature{fIgnition, fAdvance}, "sparkadvance zündwinkel zündvorstellung ~zzp 点火時期 進角 ~ignadv előgyújtás avans sytytysennakko sytytysennakon forstilling 点火提前 点火提前角 zapálení_předstih ~zw ~avall"},
	{[]feature{fAdvance}, "advance ~adv avance avanço avanco anticipo vervroeging tijdstip förställning wyprzedzenie předstih predstih ennakko опережение опережения ~btdc vorstellung ~av ~avan"},
	{[]feature{fKnock}, "nokku klopsensor knock ~knk ~kn klopf klopfen klopfsignal cliquetis picado detonación detonacion detonação batida detonazione battito pingel knack bank_knock stukanie klepání klepani nakutus ノック ノッキング детонация detonation ping kopogás vuruntu 爆震 爆燃 노킹 spalanie_stukowe stukowe stukowy stukowego nakutuksen klepánie"},
	{[]feature{fLambda}, "lambda ~lam ~lmd ラムダ лямбда λ ~la equivalence ~equiv λ値 람다 过量空气 ~lamb ~lmb ~lamda ~lbd richesse ~rich ~equivalenceratio"},
	{[]feature{fAFR}, "kunenhi afr ~a/f airfuel wideband ~wb ~wbo2 air_fuel luftverhältnis 空燃比 ~afs ~uego mixture gemisch mélange mezcla mistura miscela 공연비 mengverhouding keverékarány blandning seossuhde"},
	{[]feature{fLambda, fSensor}, "~o2 ~ego lambdasonde"},
	{[]feature{fSatellite}, "gps gnss satellite satellit satelliten ~sat ~gnss 衛星 спутник doppler műhold uydu 卫星 ~gp"},
	{[]feature{fLatitude}, "latitude ~lat breite breitengrad latitud latitudine breedtegraad szerokość szerokosc šířka sirka leveysaste ido 緯度 широта szélesség enlem 纬度 위도 breddegrad breddgrad leveyspiiri north northing ~lat_deg"},
	{[]feature{fLat}, "lateral ~lat quer laterale latéral latéral transversal transversale trasversale seitlich dwars sid poprzeczne poprzeczny příčné pricne sivuttais yoko 横 横方向 боковое ~y ~gy lateralt oldal oldalirányú yanal 横向 横加 횡 tverr tvær sidled sidleds sivusuuntainen sido sides"},
	{[]feature{fLongitude}, "longitude ~lon ~lng ~long länge längengrad longitud longitudine lengtegraad długość dlugosc délka delka pituusaste keido 経度 долгота hosszúság boylam 经度 經度 경도 lengdegrad længdegrad längdgrad pituuspiiri east easting"},
	{[]feature{fLong}, "longitudinal ~long ~lon ~lng längs longitudinale longitudinaal langs podłużne podluzne podélné podelne pitkittäis zengo 前後 продольное ~x ~gx forward fore längd wzdłużne inline hosszirányú boyuna 纵向 縱向 종 langsgående längsgående pituussuuntainen"},
	{[]feature{fAltitude}, "altitude ~alt elevation höhe seehöhe altitud altitudine hoogte altezza quota höjd wysokość nadmořská korkeus kodo 高度 標高 высота elev ~msl magasság yükseklik 海拔 고도 hødje høyde højde"},
	{[]feature{fHeading}, "heading ~hdg course bearing kurs cap rumbo rumo rotta koers kurssi hoi 方位 курс track ~cog azimuth"},
	{[]feature{fYaw}, "yaw gier gierrate lacet guiñada guinada imbardata gier_snelheid gir odchylania stáčení ヨー рыскание ~gz_rate"},
	{[]feature{fSteering}, "steering steer ~sas lenk lenkrad lenkwinkel volant direction dirección direccion direção sterzo volante stuur ratt styr kierownica kierownicy řízení rizeni ohjaus ステアリング 舵角 руль kormány direksiyon 方向盘 조향 ratin ratti"},
	{[]feature{fGear}, "~gia ~giya gear ~gr gang ~rapport engagée engagé engaged marcha marchas marcia cambio câmbio versnelling växel bieg rychlostní stupeň vaihde ギア ギヤ передача gangstellung ~gearpos 変速段 shift sebességfokozat fokozat vites 档位 挡位 檔位 기어 gir vaihteen převod zařazený zařazená ~grpos ~gangs"},
	{[]feature{fNitrous}, "nitoro nitrous nos n2o lachgas protoxyde óxido nitroso protossido lachgass azotu ilokaasu ナイトロ 亜酸化窒素 закись lustgas dinitrogén nitro nitrogas ニトロ oxid_dusný dusný dusného podtlenek 氮气 一氧化二氮 니트로 ~nitr"},
	{[]feature{fBottle}, "bottle flasche bouteille botella garrafa bombola fles flaska butla lahev pullo ボトル баллон"},
	{[]feature{fBattery}, "battery ~bat ~batt batterie batería bateria batteria accu batteri akumulator akku バッテリー аккумулятор ecu_volt module bord bordnetz ~vbat ~vbatt ~ubat akkumulátor akü 电池 蓄电池 電瓶 배터리 akun accuspannings batterij akumulatoru"},
	{[]feature{fBattery, fVoltage}, "vbat vbatt batteriespannung bordspannung ~ub ~ubatt ~battv ~sysvolt"},
	{[]feature{fRide}, "ride suspension damper shock fahrwerk federweg amortisseur suspensión amortiguador ammortizzatore sospensione vering fjädring amortyzator tlumič サスペンション подвеска"},
	{[]feature{fShaft}, "shaft welle arbre eje albero as_koppel axel wał hřídel akseli シャフト вал driveshaft propshaft ~ds antriebswelle kardan halfshaft"},
	{[]feature{fLaunch}, "launch ~lc ~launchcontrol start_aid startautomatik twostep antilag"},
	{[]feature{fCut}, "cut ~cutoff reduction reduktion coupure corte taglio onderbreking odcięcie カット отсечка rücknahme reduzierung limitation"},
	{[]feature{fTraction}, "traction ~tcs ~tc ~asr antischlupf trazione tracción tração motricité"},
	{[]feature{fSlip}, "slip slippage schlupf patinage patinamiento deslizamiento slittamento patinação slirning"},
	{[]feature{fEthanol}, "ethanol ~eth ~e85 flex flexfuel äthanol éthanol etanol etanolo エタノール этанол ~ethanolgehalt ~alcohol"},
	{[]feature{fTrim}, "trim trims ~stft ~ltft ~stf ~ltf korrektur_gemisch gemischkorrektur mengselcorrectie fueltrim"},
	{[]feature{fCrankcase}, "kurankukeisu crankcase kurbelgehäuse kurbelgehause carter cárter carter_motore basamento carterdruk vevhus skrzyni_korbowej kliková kampikammio クランクケース картер blowby korbowej korbowa klikové klikovém kampikammion veivhus veivhuset krumtaphus forgattyúház karter 曲轴箱 크랭크케이스 ~ccp ~crk breather ~kgh ~kurbelgeh ~crkcase"},
	{[]feature{fVehicle}, "vehicle ~veh car fahrzeug ~fzg véhicule vehicule vehículo vehiculo veículo veiculo veicolo voertuig fordon køretøj pojazdu pojazd vozidla vozidlo ajoneuvo auto sharyo 車両 車 автомобиль ground road ~coche jármű araç 车辆 차량 bilen kjøretøy"},
	{[]feature{fDriven}, "driven antrieb motrices motrice drive angetrieben trazione_ruote driving ~drv"},
	{[]feature{fMass}, "mass masse massen masa massa hmotnost"},
	{[]feature{fAir, fFlow, fMass}, "maf luftmasse luftmassenstrom ~lmm エアフロ エアフロー massenmesser"},
	{[]feature{fVolume}, "volume volumen volumetric"},
	{[]feature{fSensor}, "sensor ~sens ~sen sonde capteur fühler geber sensore givare czujnik čidlo senzor anturi センサー датчик transducer ~sig signal"},
	{[]feature{fCatalyst}, "catalyst catalytic ~cat ~kat katalysator catalyseur catalizador catalizzatore katalyzator"},
	{[]feature{fCam}, "cam camshaft nockenwelle vvt vanos ~arbre_cames"},
	{[]feature{fEGR}, "egr ~agr"},
	{[]feature{fLap}, "lap beacon runde"},
	{[]feature{fCounter}, "counter ~count ~cnt index ~idx ~id number frame sample record zähler compteur"},
	{[]feature{fTarget}, "target ~tgt ~trg setpoint ~set soll sollwert desired demand demanded command commanded ~cmd ~req requested request consigne cible objetivo obiettivo doel börvärde ~bor zadane zadana żądana požadovaný tavoite mokuhyo 目標 заданное ~dmd ~aim goal ~ziel cél hedef 目标 목표 mål tavoitearvo ref reference référence riferimento gewünscht gewünschte gewünschter gewenst gewenste streefwaarde deseado deseada desejado desejada desiderato desiderata souhaité souhaitée önskad önskat ønsket haluttu"},
	{[]feature{fError}, "error ~err abweichung erreur écart deviation delta ~diff fehler 偏差"},
	{[]feature{fLimit}, "limit limiter begrenzung limite max maximum ~min minimum ~peak warning warn alarm warnung"},
	{[]feature{fStatus}, "status state flag ~enable enabled active ~on ~off mode zustand aktiv switch ~sw schalter ~état etat stato fault ~diag"},
	{[]feature{fRaw}, "raw ~adc ~mv rohwert unfiltered"},
	{[]feature{fMean}, "mean ~avg average mittel moyenne media gemiddelde filtered ~filt overall"},
	{[]feature{fActual}, "corrected korrigiert corrigé corregido corretto actual ~act ~ist current_value measured gemessen réel mesuré reale aktuell tényleges gerçek 实际 실제"},
	{[]feature{fAbsolute}, "absolute ~abs absolut absolue absolu absoluto assoluta"},
	{[]feature{fGauge}, "gauge relative ~rel relativ überdruck relatif"},
	{[]feature{fBefore}, "before ~v ~pre vor avant upstream amont antes prima voor före przed před inlet_side ~in ein entrée entrada ingresso in 入口 前段"},
	{[]feature{fAfter}, "after ~post nach après apres downstream aval después depois dopo na efter po outlet ~out ~outl aus sortie salida saída uscita uit discharge 出口 後段"},
	{[]feature{fFront}, "front ~f ~fr ~frt vorn vorne vorder vorderrad ~v avant ~av delantero delantera ~del dianteira dianteiro ~di anteriore ~ant voor voorwiel fram ~fram foran przednie przedni przód přední predni etu mae 前 передний переднее első 前部 앞 forhjul framre etummainen"},
	{[]feature{fRear}, "rear ~r ~rr back hinten hinter hinterrad ~h arrière arriere ~ar trasero trasera ~tras traseiro traseira posteriore ~post achter achterwiel ~a bak bag tylne tylny tył zadní zadni taka ushiro 後 задний заднее hátsó arka 后 後部 뒤 bakre bakhjul takana taaempi"},
	{[]feature{fLeft}, "left ~l ~lh ~lt links linke gauche ~g izquierdo izquierda ~izq esquerdo esquerda ~esq sinistra sinistro ~sx vänster ~vä venstre lewe lewy lewa levé levý leve levy vasen hidari 左 левый левое ~li ~lhs 左侧 왼쪽 좌 vasemman"},
	{[]feature{fRight}, "right ~r ~rh ~rt rechts rechte droite droit ~d derecho derecha ~der direito direita ~dir destra destro ~dx höger ~hö højre prawe prawy prawa pravé pravý prave pravy oikea migi 右 правый правое ~re ~rhs jobb sağ 右侧 오른쪽 우 høyre oikean"},
	{[]feature{fFront, fLeft}, "~fl ~lf ~vl ~avg ~frontleft ~di ~lv ~vf ~as ~lp ~fli ~pl ~etv 左前 ~ve ~be ~bev ~söl ~önsol ~eb ~vol ~vorli 左前輪 前左 ~fgl"},
	{[]feature{fFront, fRight}, "~fr ~rf ~vr ~avd ~frontright ~pp ~rv ~hf ~ad ~dd 右前 ~oe ~je ~önsağ 右前輪 前右"},
	{[]feature{fRear, fLeft}, "~rl ~lr ~hl ~arg ~rearleft ~tl ~la ~vb ~lt ~ps ~ti ~zl 左後 ~bl ~vt ~bh ~lz ~arkasol 左后 后左 左後輪 後左 ~hil ~te"},
	{[]feature{fRear, fRight}, "~rr ~hr ~ard ~rearright ~tp ~ra ~hb ~pt ~pd ~td ~zp 右後 ~br ~ot ~jh ~pz ~arkasağ 右后 后右 右後輪 後右 ~hir"},
	{[]feature{fVertical}, "vertical ~vert vertikal hoch hub ~z ~gz down up vertikale"},
	{[]feature{fGyro}, "gyro gyroscope kreisel drehrate roll pitch nick wank"},
	{[]feature{fBank}, "bank ~bk rangée bancada bancata ~b banc zylinderbank"},
	{[]feature{fCylinder}, "cylinder ~cyl zylinder ~zyl cylindre cilindro cilinder cylinder_nr cylindra válec valec sylinteri 気筒 цилиндр henger silindir 气缸 실린더 sylinder syl válce"},
	{[]feature{fCorrection}, "retard ~ret retardo ritardo correction ~corr korrektur correzione corrección offset comp compensation"},
	{[]feature{fWind}, "wind vent viento vento wiatr vítr vitr tuuli 風 ветер weather wetter météo"},
	{[]feature{fAmbient, fTemperature}, "~oat ~aat"},
	{[]feature{fCoolant, fPressure}, "suiatsu ~pw ~pwat ~pcool ~pwater"},
	{[]feature{fFuel, fTemperature}, "~tfuel"},
	{[]feature{fCrankcase, fPressure}, "~pcrank ~pcc ~pkgh crank_p crank_press crank_pressure crank_prs"},
	{[]feature{fCooler, fWater, fTemperature}, "~icwt ~cacwt"},
	{[]feature{fEngine, fCoolant, fPressure}, "~ecp"},
	{[]feature{fCompressor, fIntake, fPressure}, "~cip"},
	{[]feature{fCompressor, fIntake, fTemperature}, "~cit"},
	{[]feature{fCompressor, fAfter, fPressure}, "~cop ~cdp"},
	{[]feature{fCompressor, fAfter, fTemperature}, "~cot ~cdt"},
	{[]feature{fTurbine, fBefore, fTemperature}, "~tit"},
	{[]feature{fFuel, fFlow}, "~mfuel ~mfl ~qfuel ~ffl"},
	{[]feature{fSatellite, fSpeed}, "~vgps ~gpsspd ~gpsspeed ~spdgps ~gspeed ~gpskmh ~gpsmph ~sog"},
	{[]feature{fSatellite, fLatitude}, "~gpslat"},
	{[]feature{fSatellite, fLongitude}, "~gpslon ~gpslong"},
	{[]feature{fAccel, fLong}, "~ax ~gx ~accx ~acclong ~glong ~along ~longg ~accelx ~gforcex ~longacc ~alängs ~axlong ~glängs"},
	{[]feature{fAccel, fLat}, "~ay ~gy ~accy ~acclat ~glat ~alat ~latg ~accely ~latacc ~aquer ~gquer"},
	{[]feature{fWheel, fSpeed, fFront, fLeft}, "~radvl ~vfl ~nfl ~vvl ~wsfl ~flws ~lfws ~whfl ~wssfl ~wspdfl ~vwhfl"},
	{[]feature{fWheel, fSpeed, fFront, fRight}, "~radvr ~vfr ~nfr ~vvr ~wsfr ~frws ~rfws ~whfr ~wssfr ~wspdfr ~vwhfr"},
	{[]feature{fWheel, fSpeed, fRear, fLeft}, "~radhl ~vrl ~nrl ~vhl ~wsrl ~rlws ~lrws ~whrl ~wssrl ~wspdrl ~vwhrl"},
	{[]feature{fWheel, fSpeed, fRear, fRight}, "~radhr ~vrr ~nrr ~vhr ~wsrr ~rrws ~whrr ~wssrr ~wspdrr ~vwhrr"},
	{[]feature{fClutch, fPosition}, "~rclu"},
	{[]feature{fBrake, fPosition}, "~rbrk"},
	{[]feature{fWastegate, fDuty}, "~rwg ~dwg ~wgdty"},
	{[]feature{fFiller}, "zeměpisná geograficzna geográfica geographic the of de du des der die das la le les el del di do da d en et and und für for no ~nr ~ch channel kanal canal value wert valeur valor valore ecu ~can ~log main primary ~pri overall total ~tot inst instant instantaneous der_ gas gas_ term short at to by e i w na je är vid measured data reading messwert czynnik plyn plynů plynu plyny ~nb ~in ~wert kuljettaja ~eng skříni sarjan arvo hodnota wartość érték değer 值 값 信号 ~nmea v ve ~gas"},
}

// entry is what the lexicon knows of a folded word.
type entry struct {
	senses []sense
	alone  bool // counts only when it stands alone
}

var folded = sync.OnceValue(func() map[string]*entry {
	m := make(map[string]*entry)
	for _, line := range slices.Concat(lexicon, tradeWords) {
		s := setOf(line.ideas...)
		for _, w := range strings.Fields(line.words) {
			w, alone := strings.CutPrefix(w, "~")
			for _, f := range foldings(strings.ReplaceAll(w, "_", "")) {
				e := m[f]
				if e == nil {
					e = &entry{alone: true}
					m[f] = e
				}
				e.alone = e.alone && (alone || len([]rune(f)) < 3 && f[0] < 0x80)
				known := false
				for _, o := range e.senses {
					known = known || o == s
				}
				if !known {
					e.senses = append(e.senses, s)
				}
			}
		}
	}
	return m
})
