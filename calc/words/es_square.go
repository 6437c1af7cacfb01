package words

// spanishSquare is the Spanish of whether a deck is square, and of its openings.
func spanishSquare() map[string]string {
	return map[string]string{
		"Is it square?":                             "¿Está a escuadra?",
		"Width at the outer edge":                   "Ancho en el borde exterior",
		"Projection at the left end":                "Fondo en el extremo izquierdo",
		"Projection in the middle":                  "Fondo en el medio",
		"Projection at the right end":               "Fondo en el extremo derecho",
		"Diagonal from the house’s left end":        "Diagonal desde el extremo izquierdo de la casa",
		"Diagonal from the house’s right end":       "Diagonal desde el extremo derecho de la casa",
		"Corners of a second opening":               "Esquinas de una segunda abertura",
		"Corners of a third opening":                "Esquinas de una tercera abertura",
		"%s longer":                                 "%s más largo",
		"%s shorter":                                "%s más corto",
		"The outer left corner":                     "La esquina exterior izquierda",
		"The outer right corner":                    "La esquina exterior derecha",
		"The outer edge is %s than the house side.": "El borde exterior es %s que el lado de la casa.",
		"The right end is %s than the left one: the outer edge does not run along the house.":                                                          "El extremo derecho es %s que el izquierdo: el borde exterior no corre paralelo a la casa.",
		"The outer edge bows: in its middle the deck is %s than at its ends.":                                                                          "El borde exterior se curva: en el medio el fondo es %s que en los extremos.",
		"%s is square within what a tape can tell: the diagonal is %s, and %s for a square corner.":                                                    "%s está a escuadra hasta donde una cinta puede decirlo: la diagonal mide %s, y %s en una esquina a escuadra.",
		"%s stands %s to the %s of square: the diagonal is %s, and %s for a square corner.":                                                            "%s está a %s hacia la %s de la escuadra: la diagonal mide %s, y %s en una esquina a escuadra.",
		"A diagonal of %s cannot be: width %s and projection %s do not reach so far, or reach farther.":                                                "Una diagonal de %s no puede ser: un ancho de %s y un fondo de %s no llegan tan lejos, o llegan más lejos.",
		"Tape it again, and the two sides.":                                                                                                            "Vuelva a medirla, y también los dos lados.",
		"String a line from corner to corner and set the gutter to the line, not to the rim.":                                                          "Tienda un hilo de esquina a esquina y ponga la canaleta según el hilo, no según la viga de borde.",
		"Keep the gutter level with the outer edge's own line, and cut the panels to it one by one.":                                                   "Siga con la canaleta la línea del borde exterior, y corte los paneles a esa línea uno por uno.",
		"Snap the first panel's line square to the house (3-4-5), not along the end; the channel follows the end, and the last panel is ripped to it.": "Trace la línea del primer panel a escuadra con la casa (3-4-5), no a lo largo del extremo; el canal sigue el extremo, y el último panel se corta a lo largo según él.",
		"Lay the panels out from the house side; the last one at the outer edge is cut on a slant, or the side channels follow the ends.":              "Reparta los paneles desde el lado de la casa; el último en el borde exterior se corta en diagonal, o los canales laterales siguen los extremos.",
	}
}
