package calc

// Surface is what a wall is faced with.
type Surface string

// The wall surfaces of the fixings table.
const (
	SurfaceWood        Surface = "wood"
	SurfaceVinyl       Surface = "vinyl siding"
	SurfaceFiberCement Surface = "fiber-cement"
	SurfaceBrick       Surface = "brick"
	SurfaceBlock       Surface = "concrete block"
	SurfaceConcrete    Surface = "poured concrete"
	SurfaceStucco      Surface = "stucco"
	SurfaceStone       Surface = "stone veneer"
	SurfaceEIFS        Surface = "exterior insulation finish"
	SurfaceLog         Surface = "log"
	SurfaceMetal       Surface = "metal siding"
	SurfaceUnknown     Surface = "unknown"
)
