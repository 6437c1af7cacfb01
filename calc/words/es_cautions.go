package words

// spanishCautions is the Spanish of the cautions and what calls them up.
func spanishCautions() map[string]string {
	return map[string]string{ // #nosec G101 -- translations
		"Local code and licensed practice come first.": "El código local y los profesionales con licencia tienen prioridad.",
		"a wall of %s":               "una pared de %s",
		"%s and %d more":             "%s y %d más",
		"asked for by the program":   "lo pide el programa",
		"common practice, no source": "práctica común, sin fuente",
		"Nobody has measured how high the work is. Measure from the lowest ground under it before ladders, scaffold or lift are chosen.": "Nadie ha medido a qué altura se trabaja. Mida desde el suelo más bajo debajo del trabajo antes de escoger escaleras, andamio o plataforma elevadora.",
		"no measured height":                             "altura sin medir",
		"29 CFR 1926.501(b)(1), training 1926.503(a)(1)": "29 CFR 1926.501(b)(1), capacitación 1926.503(a)(1)",
		"29 CFR 1926.451(g)(1)":                          "29 CFR 1926.451(g)(1)",
		"29 CFR 1926.453(b)(2)(v) (from memory)":         "29 CFR 1926.453(b)(2)(v) (de memoria)",
		"In a boom lift everyone is tied to the boom or basket. A scissor lift needs its rails closed; on either, the maker's manual rules, on firm level ground, with a " +
			"trained driver.": "En una plataforma de brazo todos van amarrados al brazo o a la canasta. La de tijera necesita sus barandas cerradas; en las dos manda el manual del fabricante, " +
			"sobre suelo firme y nivelado, con un operador capacitado.",
		"the lift chosen": "la plataforma elevadora elegida",
		"29 CFR 1926.1053(b)(1), (b)(5)(i), (b)(13)": "29 CFR 1926.1053(b)(1), (b)(5)(i), (b)(13)",
		"duty ratings ANSI A14":                      "capacidad de carga ANSI A14",
		"work from ladders, at any height":           "trabajo con escaleras, a cualquier altura",
		"Most falls are from low ladders. Set a leaning ladder 4 to 1: its base out a quarter of its working length. Rails go 3 ft above a landing that it leads to. " +
			"Never stand on the top or top step of a stepladder. Load no ladder beyond its duty rating. Panels take two people: carry them up from a platform, not " +
			"one-handed on a ladder.": "La mayoría de las caídas son desde escaleras bajas. Ponga la escalera recargada 4 a 1: la base separada un cuarto de su largo de trabajo. Los largueros suben 3 " +
			"ft sobre el piso al que lleva. Nunca se pare en la tapa ni en el último escalón de una escalera de tijera. No cargue una escalera más de su capacidad. Los " +
			"paneles se llevan entre dos: súbanlos desde una plataforma, no con una mano en la escalera.",
		"29 CFR 1926.501(b)(1)":            "29 CFR 1926.501(b)(1)",
		"an open deck edge above the work": "un borde abierto de la terraza arriba del trabajo",
		"Someone on the deck above works at an open edge. Its guard stays on, or that edge gets its own fall protection; nobody loosens guard posts from below.": "En la terraza de arriba alguien trabaja junto a un borde abierto. Su baranda se queda, o ese borde lleva su propia protección contra caídas; nadie afloja " +
			"postes de baranda desde abajo.",
		"a retaining wall or stairwell beside the work": "un muro de contención o el hueco de una escalera junto al trabajo",
		"A drop beside the work counts as height. Measure from the lowest ground a person could fall to, and guard that edge or cover the opening.": "Un desnivel junto al trabajo cuenta como altura. Mida desde el suelo más bajo al que se podría caer, y proteja ese borde o tape el hueco.",
		"a working platform %s above the ground": "una plataforma de trabajo a %s del suelo",
		"The work is 6 ft or more above a lower level: the fall-protection rule of construction work applies. Whoever is exposed needs a guardrail, a net or fall " +
			"arrest, and training first. The platform is the underside's height less 6' 6\", from the ground measured; lower ground beside it counts.": "El trabajo está 6 ft o más sobre un nivel inferior: aplica la regla de protección contra caídas de la construcción. Quien esté expuesto necesita baranda, red o " +
			"arnés contra caídas, y antes capacitación. La plataforma es la altura de la cara inferior menos 6' 6\", desde el suelo medido; un suelo más bajo al lado " +
			"también cuenta.",
		"Ladders have rules of their own; a scaffold or a lift is the better way to this height.": "Las escaleras tienen sus propias reglas; un andamio o una plataforma elevadora es mejor para esta altura.",
		"A scaffold more than 10 ft above a lower level needs guardrails or fall arrest for everyone on it. Planks full width, firm footing, a ladder to get up, and a " +
			"competent person's look at it every day.": "Un andamio a más de 10 ft sobre un nivel inferior necesita barandas o arnés contra caídas para todos los que suben. Tablones a todo lo ancho, apoyo firme, una " +
			"escalera para subir y la revisión diaria de una persona competente.",
		"A scaffold needs firm footing, full planks and a way up, whatever its height. Guardrails or fall arrest are the rule when it is more than 10 ft above a lower " +
			"level; rails below that are good practice.": "Un andamio necesita apoyo firme, tablones completos y por dónde subir, sea cual sea su altura. Barandas o arnés contra caídas son la regla cuando está a más de " +
			"10 ft sobre un nivel inferior; más abajo, la baranda es buena práctica.",
		"the scaffold chosen": "el andamio elegido",
		"trade rules for concrete anchors (spacing 10 D, edge 5 D, hole 1/2 in deeper than the embedment, 5/32 in bit for a 3/16 in screw, at least 1 in embedded)": "reglas del oficio para anclajes en concreto (separación 10 D, al borde 5 D, agujero 1/2 in más hondo que el empotre, broca de 5/32 in para tornillo de 3/16 in, " +
			"empotre de 1 in por lo menos)",
		"NDS 2018 12.1.5.2 (wording from memory)": "NDS 2018 12.1.5.2 (texto de memoria)",
		"1999/2004 NDS Commentary 11.1.2.1":       "1999/2004 NDS Commentary 11.1.2.1",
		"29 CFR 1926.1153 Table 1 (vii)":          "29 CFR 1926.1153 Tabla 1 (vii)",
		"limits 1926.1153(d)(1), (b)":             "límites 1926.1153(d)(1), (b)",
		"cleaning 1926.1153(f) (from memory)":     "limpieza 1926.1153(f) (de memoria)",
		"Drilling this wall frees silica dust. Use a drill with a shroud and dust collection, and a HEPA vacuum to clean holes; then the table asks for no respirator. " +
			"The limit is 50 micrograms per cubic meter over 8 hours, the action level 25. No dry sweeping, no compressed air.": "Taladrar esta pared suelta polvo de sílice. Use un taladro con campana y aspiración de polvo, y una aspiradora HEPA para limpiar los agujeros; así la tabla no " +
			"pide respirador. El límite es de 50 microgramos por metro cúbico en 8 horas, el nivel de acción 25. No barra en seco ni use aire comprimido.",
		"29 CFR 1926.1153 Table 1 (iii)": "29 CFR 1926.1153 Tabla 1 (iii)",
		"Cut fiber-cement outdoors only, with a blade of 8 in or less and dust collection at the tool maker's airflow and a filter of 99 % or better. A larger blade or " +
			"an enclosed place falls under another row, with water or a respirator.": "Corte el fibrocemento solo al aire libre, con disco de 8 in o menos y aspiración de polvo con el caudal que pide el fabricante y filtro de 99 % o mejor. Un " +
			"disco mayor o un lugar encerrado va por otra fila, con agua o respirador.",
		"29 CFR 1926.1153 Table 1 (ii), (xii)": "29 CFR 1926.1153 Tabla 1 (ii), (xii)",
		"Sawing or grinding this wall needs water at the blade, or a shroud and a vacuum for a grinder. With a handheld saw and water outdoors the table asks for no " +
			"respirator up to 4 hours a shift, an assigned protection factor of 10 beyond; in an enclosed place from the start.": "Para aserrar o esmerilar esta pared hace falta agua en el disco, o campana y aspiradora en la esmeriladora. Con sierra de mano y agua al aire libre la tabla no " +
			"pide respirador hasta 4 horas por turno; después, un factor de protección asignado de 10; en lugar encerrado, desde el principio.",
		"40 CFR 745.83 and 745 subpart E": "40 CFR 745.83 y 745 subparte E",
		"Treat old paint as lead until it is tested. The renovation rule applies when more than 20 ft2 of paint outdoors is disturbed in the whole job (6 ft2 a room " +
			"indoors), and always when a prohibited practice is used. Then the firm is certified, a certified renovator leads, and dust is kept in. Never burn, dry sand or " +
			"dry scrape it.": "Trate la pintura vieja como plomo hasta que se haga la prueba. La regla de renovación aplica cuando en toda la obra se toca más de 20 ft2 de pintura exterior " +
			"(6 ft2 por cuarto en interiores), y siempre que se use una práctica prohibida. Entonces la empresa está certificada, dirige un renovador certificado y el polvo " +
			"se contiene. Nunca la queme, lije en seco ni raspe en seco.",
		"a house built before 1978": "una casa construida antes de 1978",
		"29 CFR 1926.1101 (its presumption covers insulation and surfacing before 1981, not siding)": "29 CFR 1926.1101 (su presunción cubre aislamientos y recubrimientos de antes de 1981, no el revestimiento exterior)",
		"material over 1 % is asbestos-containing, 40 CFR 61 subpart M":                              "un material con más de 1 % contiene asbesto, 40 CFR 61 subparte M",
		"IRC R317.3 for fasteners (from memory)":                                                     "IRC R317.3 para fijaciones (de memoria)",
		"Treated wood eats plain steel screws. Use screws coated for it, hot-dip or stainless; wear a dust mask and gloves while ripping it, and burn none of it.": "La madera tratada se come los tornillos de acero común. Use tornillos con recubrimiento para ella, galvanizados en caliente o inoxidables; use mascarilla y " +
			"guantes al aserrarla, y no queme nada de ella.",
		"furring of treated wood": "listones de madera tratada",
		"Weep holes and through-wall flashing stay open. Mark them before the channel goes up; no bead, screw or channel over one.":                  "Los agujeros de drenaje y los tapajuntas de la pared quedan abiertos. Márquelos antes de poner el canal; ningún cordón, tornillo ni canal encima de ellos.",
		"Put no hole in this skin. Water that gets behind an insulation finish stays there: fasten up into framing and seal the joint.":              "No haga ningún agujero en este acabado. El agua que entra detrás de un acabado aislante se queda ahí: fije hacia arriba, al armazón, y selle la junta.",
		"Nobody has said what this wall is faced with. Drill nothing until it is known: bit, fastener, dust and what may be in it all depend on it.": "Nadie ha dicho de qué es esta pared. No taladre nada hasta que se sepa: la broca, la fijación, el polvo y lo que pueda haber dentro dependen de eso.",
		"a wall of unknown surface": "una pared de superficie desconocida",
		"Drill this wall before a screw is driven. %s. Eye protection on, dust collected, and nothing drilled that hides a pipe or cable.": "Taladre esta pared antes de meter un tornillo. %s. Lentes puestos, polvo aspirado, y no se taladra nada que esconda un tubo o cable.",
		"Siding of this age may hold asbestos: test it before anything is drilled, sawn or broken. Nothing about siding is presumed either way; a laboratory tells. " +
			"Until then fasten up into framing and leave the siding alone.": "Un revestimiento de esta edad puede tener asbesto: hágale la prueba antes de taladrar, cortar o romper nada. Del revestimiento no se presume nada en un sentido " +
			"ni en otro; lo dice un laboratorio. Mientras tanto fije hacia arriba, al armazón, y deje el revestimiento en paz.",
		"siding suspected of asbestos (%s)":                                            "revestimiento en el que se sospecha asbesto (%s)",
		"a house built before 1978 with %s, which may be old cement board or cover it": "una casa construida antes de 1978 con %s, que puede ser placa vieja de cemento o taparla",
		"Structure is for a licensed professional. This plan takes the deck as sound and able to carry the ceiling; joists, beams, ledger, hangers and their fasteners " +
			"are never cut, and repairs come first.": "La estructura es cosa de un profesional con licencia. Este plan da por hecho que la terraza está sana y puede cargar el cielo raso; viguetas, vigas, larguero " +
			"adosado, estribos y sus fijaciones nunca se cortan, y las reparaciones van primero.",
		"every ceiling hung from a deck":     "todo cielo raso colgado de una terraza",
		"NDS 2018 12.2.2.1, equation 12.2-2": "NDS 2018 12.2.2.1, ecuación 12.2-2",
		"The screw check is a screening, no design. It looks at withdrawal alone, with factors for wet wood and lasting load; not at prying, split strips, old holes or the joists.": "La revisión de tornillos es un filtro, no un diseño. Mira solo la extracción, con factores por madera mojada y carga permanente; no mira palanca, listones " +
			"rajados, agujeros viejos ni las viguetas.",
		"the screw check": "la revisión de tornillos",
		"Look at everything that will be covered, and photograph it. Rot, rust, a loose ledger, missing flashing, loose guard posts and leaks are repaired before the " +
			"ceiling, not after.": "Mire todo lo que va a quedar cubierto, y tómele fotos. Pudrición, óxido, un larguero adosado flojo, tapajuntas que faltan, postes de baranda flojos y goteras " +
			"se reparan antes del cielo raso, no después.",
		"what the ceiling will cover":   "lo que el cielo raso va a cubrir",
		"screw roots NDS 2018 table L3": "núcleo de los tornillos NDS 2018 tabla L3",
		"Ripped strips split at their ends. Pre-drill the end screws, keep them 1 1/2 in from the end and out of knots, and join strips on joists only.": "Los listones aserrados se rajan en las puntas. Taladre antes para los tornillos de las puntas, póngalos a 1 1/2 in de la punta y fuera de los nudos, y empalme " +
			"los listones solo sobre viguetas.",
		"ripped furring strips": "listones aserrados a medida",
		"The deck above drains to the house. The ceiling carries its own water away, but what runs down the deck meets the wall and the ledger: have flashing and boards " +
			"looked at before they are covered.": "La terraza de arriba desagua hacia la casa. El cielo raso se lleva su propia agua, pero la que baja por la terraza llega a la pared y al larguero adosado: haga " +
			"revisar tapajuntas y tablas antes de cubrirlos.",
		"a frame that falls %s per foot toward the house": "un armazón que baja %s por pie hacia la casa",
		"An old ceiling hides what holds the deck. Take it down and look before this plan is trusted; what was measured from it is not the joists.": "Un cielo raso viejo esconde lo que sostiene la terraza. Quítelo y mire antes de confiar en este plan; lo que se midió desde él no son las viguetas.",
		"a ceiling that is there already": "un cielo raso que ya está ahí",
		"Screws from below may pierce a membrane. Keep screws out of its reach, and see where its water goes: not between membrane and ceiling.": "Los tornillos desde abajo pueden perforar una membrana. Que no la alcancen, y vea a dónde va su agua: no entre la membrana y el cielo raso.",
		"a membrane under the boards":     "una membrana debajo de las tablas",
		"joists of specific gravity %.2f": "viguetas de gravedad específica %.2f",
		"This wood is dense: drill lead holes for the furring screws. About %.0f %% of the screw's root, here %.3f in, the nearest bit %s; as deep as the thread goes.": "Esta madera es densa: taladre agujeros guía para los tornillos de los listones. Cerca de %.0f %% del núcleo del tornillo, aquí %.3f in, la broca más cercana " +
			"%s; tan hondo como llega la rosca.",
		"5-minute storm, an assumption unless the survey says otherwise; IPC 2018 appendix B lists 1-hour storms, which are weaker": "tormenta de 5 minutos, un supuesto mientras el levantamiento no diga otra cosa; el apéndice B de IPC 2018 da tormentas de 1 hora, que son más débiles",
		"Gutters meet short bursts, not the hour's average.":                                                                        "Las canaletas enfrentan aguaceros cortos, no el promedio de la hora.",
		"It is the program's own assumption until someone looks up the place.":                                                      "Es un supuesto del programa hasta que alguien busque el dato del lugar.",
		"A heavier storm runs over the gutter's front; see that it can do no harm there.":                                           "Una tormenta más fuerte se derrama por el frente de la canaleta; vea que ahí no haga daño.",
		"gutters sized for %g in/h": "canaletas calculadas para %g in/h",
		"This ceiling catches rain that falls through the boards, and no more. Wind-driven rain at open sides, condensation, splash and ice get past it; it is not the " +
			"roof of a room.": "Este cielo raso recoge la lluvia que cae entre las tablas, y nada más. La lluvia con viento por los lados abiertos, la condensación, la salpicadura y el hielo " +
			"se le pasan; no es el techo de un cuarto.",
		"every ceiling below a deck": "todo cielo raso debajo de una terraza",
		"from memory":                "de memoria",
		"Call 811 before you dig for a downspout's drain. Water goes where it harms neither foundation nor neighbor.": "Llame al 811 antes de excavar para el desagüe de una bajante. El agua va a donde no dañe ni cimientos ni vecinos.",
		"no side of this deck is open": "esta terraza no tiene ningún lado abierto",
		"open sides here: %s":          "lados abiertos aquí: %s",
		"A closed underside needs air, or wet wood rots. The gap at the low edge stays open; say which other edges do (%s, counted from the outline's first corner), and " +
			"seal none of them by habit.": "Una cara inferior cerrada necesita aire, o la madera mojada se pudre. La holgura del borde bajo queda abierta; diga qué otros bordes también (%s, contados " +
			"desde la primera esquina del contorno), y no selle ninguno por costumbre.",
		"a closed underside": "una cara inferior cerrada",
		"Cables and pipes may run where you drill. Look, use a detector, switch the circuit off, and stop at the first hollow or bright metal.": "Donde taladra puede haber cables y tubos. Mire, use un detector, corte el circuito, y pare al primer hueco o metal brillante.",
		"drilling into walls and joists":                            "taladrar en paredes y viguetas",
		"NEC 210.8(A)(3) and 406.9(A) (numbers partly from memory)": "NEC 210.8(A)(3) y 406.9(A) (números en parte de memoria)",
		"NEC 410.10(A), and article 100 on damp locations":          "NEC 410.10(A), y artículo 100 sobre lugares húmedos",
		"ladders 29 CFR 1926.1053(b)(12) (from memory)":             "escaleras 29 CFR 1926.1053(b)(12) (de memoria)",
		"Everything electric is switched off, locked off and tested dead before work near it. No metal ladder near live parts. A licensed electrician adds, moves and " +
			"connects; outdoor receptacles are protected by a ground-fault breaker and a cover.": "Todo lo eléctrico se apaga, se bloquea y se prueba sin corriente antes de trabajar cerca. Ninguna escalera de metal cerca de partes con corriente. Un " +
			"electricista con licencia agrega, mueve y conecta; los tomacorrientes exteriores llevan interruptor de falla a tierra y tapa.",
		"electrical fittings %s": "aparatos eléctricos: %s",
		"Carbon monoxide kills without a smell. Nothing that burns fuel may end or leak above or below a ceiling that keeps its air in; have a licensed trade check " +
			"flue, clearances and openings, and put an alarm in the house.": "El monóxido de carbono mata sin olor. Nada que queme combustible puede terminar ni fugar arriba o abajo de un cielo raso que encierra el aire; haga que un " +
			"técnico con licencia revise tiro, distancias y aberturas, y ponga una alarma en la casa.",
		"what may burn fuel: %s":            "lo que puede quemar combustible: %s",
		"a grill, fire pit or heater below": "un asador, fogón o calentador abajo",
		"maker's clearances":                "distancias del fabricante",
		"softening near 160 F from memory":  "se ablanda cerca de 160 F, de memoria",
		"Plastic softens near 160 F. Keep a grill, fire pit or heater out from under the ceiling, or as far below as both makers ask; say so to the owner in writing.": "El plástico se ablanda cerca de 160 F. No ponga asador, fogón ni calentador debajo del cielo raso, o tan abajo como pidan los dos fabricantes; dígaselo al " +
			"dueño por escrito.",
		"a hot tub below": "un jacuzzi abajo",
		"A hot tub's steam meets the ceiling and drips. Keep the underside open to air at two sides or more, and use fastenings that stand chlorine.": "El vapor de un jacuzzi llega al cielo raso y gotea. Deje la cara inferior abierta al aire por dos lados o más, y use fijaciones que aguanten el cloro.",
		"a condenser below":    "un condensador abajo",
		"maker's instructions": "instrucciones del fabricante",
		"A condenser blows its heat upward. Keep the free height its maker asks for, or have a licensed trade move it.": "Un condensador sopla su calor hacia arriba. Deje la altura libre que pide su fabricante, o que un técnico con licencia lo mueva.",
		"our own assumption":               "supuesto propio",
		"installation at %g F, below %g F": "instalación a %g F, menos de %g F",
		"Cold plastic cracks when it is cut or driven. Keep it warm until it is cut, use a fine blade with the profile supported, drill its holes, and wear eye protection.": "El plástico frío se quiebra al cortarlo o atornillarlo. Guárdelo en calor hasta cortarlo, use hoja fina con el perfil apoyado, taladre sus agujeros y use " +
			"lentes de seguridad.",
		"A light below a deck is in a damp or wet place. Use one marked for it, with its box fixed to framing and its wires protected; a licensed electrician moves or adds it.": "Una luz debajo de una terraza está en lugar húmedo o mojado. Use una marcada para eso, con su caja fija al armazón y sus cables protegidos; la mueve o agrega " +
			"un electricista con licencia.",
		"light": "luz",
		"A fan needs its own brace and fan box, fixed to framing before the ceiling. It must be marked for damp or wet places; the ceiling carries none of it. A " +
			"licensed electrician hangs it.": "Un ventilador necesita su propio refuerzo y su caja para ventilador, fijos al armazón antes del cielo raso. Debe estar marcado para lugares húmedos o mojados; " +
			"el cielo raso no carga nada de él. Lo cuelga un electricista con licencia.",
		"fan":                         "ventilador",
		"NEC 314.27(C) (from memory)": "NEC 314.27(C) (de memoria)",
		"A junction box must stay reachable without taking the ceiling apart. Leave an opening with a cover, or have a licensed electrician move the box.": "Una caja de conexiones debe quedar accesible sin desarmar el cielo raso. Deje una abertura con tapa, o que un electricista con licencia mueva la caja.",
		"junction box":             "caja de conexiones",
		"NEC 314.29 (from memory)": "NEC 314.29 (de memoria)",
		"A heater softens plastic and needs the clearance its maker gives, all round. Fix it to framing, keep the clearance to panels and carriers, and let a licensed " +
			"trade connect it.": "Un calentador ablanda el plástico y necesita la distancia que da su fabricante, por todos lados. Fíjelo al armazón, guarde la distancia a paneles y rieles, y " +
			"que lo conecte un técnico con licencia.",
		"heater": "calentador",
		"A flue or direct vent must not end above the ceiling: carbon monoxide would gather there and enter the house. Stop until a licensed trade has taken it out to " +
			"the open air, with the maker's clearances to panels and openings.": "Un tiro o ventilación directa no debe terminar arriba del cielo raso: ahí se juntaría monóxido de carbono y entraría a la casa. Pare hasta que un técnico con " +
			"licencia lo haya sacado al aire libre, con las distancias del fabricante a paneles y aberturas.",
		"flue or direct vent": "tiro o ventilación directa",
		"An exhaust must not end above the ceiling: moisture and lint would gather there. Have it led out to the open air by a licensed trade before it is covered.": "Una salida de aire no debe terminar arriba del cielo raso: ahí se juntarían humedad y pelusa. Haga que un técnico con licencia la lleve al aire libre antes de " +
			"cubrirla.",
		"dryer or bath exhaust": "salida de secadora o baño",
		"A gas line is never moved, notched round or leaned on by this crew. Have a licensed trade test and move it before it is covered; keep its valve reachable.": "Esta cuadrilla nunca mueve, rodea con muescas ni se apoya en una línea de gas. Haga que un técnico con licencia la pruebe y la mueva antes de cubrirla; su " +
			"llave queda accesible.",
		"gas line":      "línea de gas",
		"fuel gas code": "código de gas combustible",
		"A condensate line must not drip onto the panels. Lead it down through the ceiling with a collar, or to the gutter, before it is covered.": "Una línea de condensado no debe gotear sobre los paneles. Llévela hacia abajo a través del cielo raso con un collarín, o a la canaleta, antes de cubrirla.",
		"condensate line": "línea de condensado",
		"A water pipe above the ceiling must be sound, drained or kept from freezing, and its valves reachable. Look for leaks before it is covered.": "Un tubo de agua arriba del cielo raso debe estar sano, vaciado o protegido de la helada, y sus llaves accesibles. Busque goteras antes de cubrirlo.",
		"water pipe": "tubo de agua",
		"A downspout goes through with a cut-out, a collar and sealant, or is moved. It never empties onto the panels.":             "Una bajante pasa con abertura, collarín y sellador, o se mueve. Nunca descarga sobre los paneles.",
		"A hose bib must stay reachable, with its shut-off. Cut the panel round it with a collar, or move it before it is covered.": "Una llave de manguera debe quedar accesible, con su cierre. Corte el panel alrededor con un collarín, o muévala antes de cubrirla.",
		"hose bib": "llave de manguera",
		"Wiring is moved and fastened by a licensed electrician before it is covered, never cut round live. Switch it off, lock it off and test it dead before work near it.": "El cableado lo mueve y lo fija un electricista con licencia antes de cubrirlo, y nunca se corta alrededor con corriente. Apáguelo, bloquéelo y pruébelo sin " +
			"corriente antes de trabajar cerca.",
		"wiring": "cableado",
		"A condenser below the ceiling needs free air above it. Keep the distance its maker asks for, or have it moved by a licensed trade.": "Un condensador debajo del cielo raso necesita aire libre encima. Guarde la distancia que pide su fabricante, o que lo mueva un técnico con licencia.",
		"condenser below": "condensador abajo",
		"A fixture of a kind that nobody has named meets the ceiling. Say what it is before it is covered: its clearances and its trade depend on it.": "Un aparato que nadie ha nombrado topa con el cielo raso. Diga qué es antes de cubrirlo: sus distancias y su oficio dependen de eso.",
		"fixture": "aparato",
		"the flue or direct vent would end above the ceiling: it must be led out to the open air first":   "el tiro o ventilación directa terminaría arriba del cielo raso: primero hay que sacarlo al aire libre",
		"the dryer or bath exhaust would end above the ceiling: it must be led out to the open air first": "la salida de secadora o baño terminaría arriba del cielo raso: primero hay que sacarla al aire libre",
	}
}
