package words

// spanishMethod is the Spanish of how figures were computed, and the figures of a profile.
func spanishMethod() map[string]string {
	return map[string]string{ // #nosec G101 -- translations
		"Cut lengths round down to 1/16″, furring to the nearest 1/16″, notches outward and up to 1/16″, quantities up to whole packs. Plan positions run along the " +
			"house from its left end as seen facing it, then out from the house.": "Los largos de corte se redondean hacia abajo a 1/16″, los listones al 1/16″ más cercano, las muescas hacia afuera y hacia arriba a 1/16″, las cantidades a " +
			"paquetes enteros. Las posiciones se cuentan a lo largo de la casa desde su punta izquierda vista de frente, y luego hacia afuera de la casa.",
		"Rounding": "Redondeo",
		"The underside is the least-squares plane through the levels over one level line, never over the ground. The fall used is the larger of the asked one and the " +
			"frame's own away from the house.": "La cara inferior es el plano de mínimos cuadrados por los niveles sobre una sola línea de nivel, nunca sobre el suelo. La pendiente usada es la mayor entre la " +
			"pedida y la del armazón hacia afuera de la casa.",
		"Underside and fall": "Cara inferior y pendiente",
		"A dropped beam that the furring cannot pass under cuts the deck into zones, each with its own high edge, low edge and gutter.": "Una viga baja por debajo de la cual no pasan los listones divide la terraza en zonas, cada una con su borde alto, su borde bajo y su canaleta.",
		"Zones": "Zonas",
		"Rows across the fall at the profile's spacing from the high edge, and one last row at the low edge. Thickness is what the fall needs there; screws are the " +
			"longest thickness plus penetration, up to the next length sold.": "Hileras a través de la pendiente con la separación del perfil desde el borde alto, y una última en el borde bajo. El espesor es lo que pide la pendiente ahí; " +
			"los tornillos son el mayor espesor más la penetración, hasta el siguiente largo que se vende.",
		"First and last width and the number of panels of least crew time: notches weighed by their chance, narrow ends, panels, uneven ends. Panels stop at the " +
			"profile's gap before the low edge.": "El primer y el último ancho y el número de paneles con menos tiempo de cuadrilla: muescas según su probabilidad, orillas angostas, paneles, orillas desiguales. " +
			"Los paneles paran antes del borde bajo, a la holgura del perfil.",
		"Depth is what hangs below the furring plus clearance. The chance that a carrier meets it comes from both positions' uncertainty, taken as normal; a notch is " +
			"listed from 5\u00a0% up and expected from 50\u00a0% up.": "El hondo es lo que cuelga más abajo que los listones, más la holgura. La probabilidad de que un riel tope con algo sale de la incertidumbre de las dos " +
			"posiciones, tomada como normal; una muesca se anota desde 5\u00a0% y se espera desde 50\u00a0%.",
		"Notches":                               "Muescas",
		"normal distribution":                   "distribución normal",
		"clearances common practice, no source": "holguras de práctica común, sin fuente",
		"Least total stock length bought, then fewest sticks, with a saw cut between pieces. It is called least only where a bound proves it.": "El menor largo total comprado, y luego las menos piezas, con un corte de sierra entre ellas. Se llama mínimo solo donde una cota lo demuestra.",
		"one-dimensional cutting stock, exact search":                                                                   "corte de barras en una dimensión, búsqueda exacta",
		"Exact need from the plan, a waste allowance where one is named, and whole packs where the pack size is known.": "La necesidad exacta según el plano, una merma donde se nombra, y paquetes enteros donde se conoce su tamaño.",
		"Takeoff": "Lista de materiales",
		"Flow is rain × area; depth in a panel by Manning's formula for a wide channel, n 0.011; half-round gutters by Beij (1934) as printed in EPA/600/R-16/093 eq. " +
			"6-68, ogee gutters and leaders by published table.": "El caudal es lluvia × área; el agua en un panel por la fórmula de Manning para un canal ancho, n 0.011; las canaletas de media caña según Beij (1934) como está " +
			"en EPA/600/R-16/093 ec. 6-68, las canaletas de moldura y las bajantes según tabla publicada.",
		"Manning; Beij 1934; NSPC 2006 Illustrated table 13.6.1": "Manning; Beij 1934; NSPC 2006 Illustrated tabla 13.6.1",
		"Water":      "Agua",
		"NDS 12.2-2": "NDS 12.2-2",
		"Screws":     "Tornillos",
		"Withdrawal 2850 G² D pounds an inch of thread, times 0.9 for permanent load and 0.7 for wet wood. Withdrawal alone is screened; structure is for a licensed professional.": "Extracción 2850 G² D libras por pulgada de rosca, por 0.9 para carga permanente y 0.7 para madera mojada. Solo se filtra la extracción; la estructura es cosa " +
			"de un profesional con licencia.",
		"Length × expansion × temperature range: the gap leaves room up to the hottest, what is engaged is counted at the coldest.": "Largo × dilatación × rango de temperatura: la holgura deja lugar hasta el mayor calor, lo que queda metido se cuenta con el mayor frío.",
		"Movement": "Movimiento",
		"linear expansion; the coefficient is the profile's": "dilatación lineal; el coeficiente es el del perfil",
		"Finished height is the underside less furring and carrier, over the ground where clearances were taken. A working platform is the underside less 78″.": "La altura terminada es la cara inferior menos listón y riel, sobre el suelo donde se midió. Una plataforma de trabajo es la cara inferior menos 78″.",
		"Headroom and access": "Altura libre y acceso",
		"By wall surface: whether to drill first, with what, into the wall or up into the framing.": "Por superficie de pared: si se taladra antes, con qué, en la pared o hacia arriba al armazón.",
		"Fixings":                                "Fijaciones",
		"each line names its own":                "cada línea nombra la suya",
		"Panel cover and gain":                   "Cubierta y ganancia del panel",
		"Panel rib":                              "Costilla del panel",
		"Panel stock lengths":                    "Largos de panel en venta",
		"Least and good end width":               "Ancho de orilla mínimo y bueno",
		"%s × 10⁻⁵ in/in per °F":                 "%s × 10⁻⁵ in/in por °F",
		"Movement of a panel":                    "Movimiento de un panel",
		"Carrier depth and width":                "Peralte y ancho del riel",
		"Carrier: deepest notch":                 "Riel: muesca más honda",
		"Carrier stock lengths":                  "Largos de riel en venta",
		"Carrier screw diameter, thread in wood": "Tornillo de riel: diámetro, rosca en madera",
		"Channel pocket and stock":               "Hueco del canal y largo en venta",
		"Channel screw spacing":                  "Separación de tornillos del canal",
		"Least end gap, side clearance":          "Holgura mínima de punta, holgura lateral",
		"Clearance of a notch, of a panel":       "Holgura de una muesca, de un panel",
		"Saw cut":                                "Corte de sierra",
		"Furring spacing and width":              "Separación y ancho de los listones",
		"Furring plies, thickest strip":          "Capas de listón, listón más grueso",
		"Furring screw diameter, penetration":    "Tornillo de listón: diámetro, penetración",
		"Weight of ceiling, of furring":          "Peso del cielo raso, de los listones",
		"%s per foot":                            "%s por pie",
		"Gutter gap and fall":                    "Holgura y pendiente de la canaleta",
		"Flagged below a finished height of":     "Se avisa con una altura terminada menor de",
		"Profile %s":                             "Perfil %s",
		"Specific gravity of the strips":         "Gravedad específica de los listones",
	}
}
