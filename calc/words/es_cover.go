package words

// spanishCover is the Spanish of what the ceiling will cover, and the sources of rules.
func spanishCover() map[string]string {
	return map[string]string{
		"A ceiling is there already":                          "Ya hay un cielo raso",
		"Air, gas and heat":                                   "Aire, gas y calor",
		"At the place of work":                                "En el lugar de trabajo",
		"Board gaps closed, or wide":                          "Ranuras de las tablas cerradas o anchas",
		"Condensate or drain line":                            "Línea de condensado o desagüe",
		"Condenser or heat pump below":                        "Condensador o bomba de calor abajo",
		"Exhaust that ends under the deck":                    "Salida de aire que termina debajo de la terraza",
		"Flue or direct vent under or at the deck":            "Tiro o ventilación directa debajo o al lado de la terraza",
		"Gas pipe, meter or regulator":                        "Tubo, medidor o regulador de gas",
		"Grill, fire pit or heater below":                     "Asador, fogón o calentador abajo",
		"Guard posts loose, or fastened in what is covered":   "Postes de baranda flojos, o fijados en lo que se cubre",
		"Hangers rusted, loose or short of nails":             "Estribos oxidados, flojos o con clavos de menos",
		"Hot tub below":                                       "Jacuzzi abajo",
		"Junction boxes or wiring that the ceiling closes in": "Cajas de conexiones o cableado que el cielo raso encierra",
		"Ledger and framing":                                  "Larguero adosado y armazón",
		"Ledger fasteners loose or missing":                   "Fijaciones del larguero adosado flojas o faltantes",
		"Ledger flashing missing or doubtful":                 "Tapajuntas del larguero adosado faltante o dudoso",
		"Membrane under the boards":                           "Membrana debajo de las tablas",
		"On and in the deck":                                  "Sobre la terraza y dentro de ella",
		"Open deck edge above the work":                       "Borde abierto de la terraza arriba del trabajo",
		"Retaining wall or stairwell beside it":               "Muro de contención o hueco de escalera al lado",
		"Rot or soft wood":                                    "Pudrición o madera blanda",
		"A ledger without sound fasteners can come off the wall with the whole deck. Keep people off and from under it until a licensed professional has had it " +
			"fastened. Structure is for a licensed professional; local code comes first.": "Un larguero adosado sin fijaciones sanas puede desprenderse de la pared con toda la terraza. Que nadie suba ni pase por debajo hasta que un profesional con " +
			"licencia lo haya hecho fijar. La estructura es cosa de un profesional con licencia; el código local tiene prioridad.",
		"A loose guard lets people fall. Have its posts fastened before the ceiling closes the joists, and keep the bolts in reach. Structure is for a licensed " +
			"professional; local code comes first.": "Una baranda floja deja caer a la gente. Haga fijar sus postes antes de que el cielo raso cierre las viguetas, y deje los pernos al alcance. La estructura es " +
			"cosa de un profesional con licencia; el código local tiene prioridad.",
		"Hangers are put right before they are hidden. Who replaces them, and when, belongs in the scope. Structure is for a licensed professional; local code comes first.": "Los estribos se arreglan antes de esconderlos. Quién los cambia, y cuándo, va en el alcance. La estructura es cosa de un profesional con licencia; el código " +
			"local tiene prioridad.",
		"IRC R301.5, loads on guards (from memory)":                "IRC R301.5, cargas en barandas (de memoria)",
		"IRC R317, protection of wood against decay (from memory)": "IRC R317, protección de la madera contra la pudrición (de memoria)",
		"IRC R507.2.4 and R703.4, flashing (from memory)":          "IRC R507.2.4 y R703.4, tapajuntas (de memoria)",
		"IRC R507.9, ledgers and their fasteners (from memory)":    "IRC R507.9, largueros adosados y sus fijaciones (de memoria)",
		"Rotten wood holds neither the deck nor screws. It is replaced before the ceiling, not after; find the water that did it. Structure is for a licensed " +
			"professional; local code comes first.": "La madera podrida no sostiene ni la terraza ni los tornillos. Se cambia antes del cielo raso, no después; busque el agua que la pudrió. La estructura es cosa " +
			"de un profesional con licencia; el código local tiene prioridad.",
		"Water behind the ledger rots what holds the deck. Have the flashing put right before the ceiling hides it, and photograph it. Structure is for a licensed " +
			"professional; local code comes first.": "El agua detrás del larguero adosado pudre lo que sostiene la terraza. Haga arreglar el tapajuntas antes de que el cielo raso lo esconda, y tómele fotos. La " +
			"estructura es cosa de un profesional con licencia; el código local tiene prioridad.",
		"What comes through the gaps lands on the ceiling. Clear or renew the boards first; the ceiling must be reachable for cleaning. Local code comes first.": "Lo que pasa por las ranuras cae sobre el cielo raso. Limpie o cambie primero las tablas; al cielo raso se debe poder llegar para limpiarlo. El código local " +
			"tiene prioridad.",
		"hanger maker's instructions":                          "instrucciones del fabricante de estribos",
		"IRC R507.2.3, fasteners and connectors (from memory)": "IRC R507.2.3, fijaciones y conectores (de memoria)",
	}
}
