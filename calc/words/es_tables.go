package words

// spanishTables is the Spanish of words of the tables, units and names that come from data.
func spanishTables() map[string]string {
	return map[string]string{
		"wood":                                   "madera",
		"vinyl siding":                           "revestimiento de vinilo",
		"fiber-cement":                           "fibrocemento",
		"brick":                                  "ladrillo",
		"concrete block":                         "bloque de concreto",
		"poured concrete":                        "concreto colado",
		"stucco":                                 "estuco",
		"stone veneer":                           "chapa de piedra",
		"exterior insulation finish":             "acabado aislante exterior",
		"log":                                    "tronco",
		"metal siding":                           "revestimiento de metal",
		"unknown":                                "no se sabe",
		"furring":                                "listón",
		"channel":                                "canal",
		"treated":                                "madera tratada",
		"cartridge":                              "cartucho",
		"each":                                   "pieza",
		"hour":                                   "hora",
		"hours":                                  "horas",
		"cartridges":                             "cartuchos",
		"ft":                                     "ft",
		"5 in half-round":                        "media caña de 5 in",
		"6 in half-round":                        "media caña de 6 in",
		"5 in ogee":                              "moldura de 5 in",
		"6 in ogee":                              "moldura de 6 in",
		"sealant that suits the panel's plastic": "sellador apto para el plástico del panel",
		"start at the end where no sealant holds, and lift one panel at a time out of its carriers": "empiece en la punta donde ningún sellador sujeta, y saque los paneles de sus rieles uno por uno",
		"notched": "con escotadura",
		"angled":  "en ángulo",
		"Gutters": "Canaletas",
	}
}
