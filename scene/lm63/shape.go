package lm63

// Shape is the form of the luminous opening, which the signs of width, length and height stand for.
type Shape string

// The shapes of LM-63-2002 and 2019, table 1. Horizontal means along or across the 0-180 plane.
const (
	Point            Shape = "point"
	Rectangle        Shape = "rectangle"
	Cuboid           Shape = "box"
	Circle           Shape = "circle"
	Ellipse          Shape = "ellipse"
	VerticalCylinder Shape = "vertical cylinder"
	EllipticCylinder Shape = "vertical elliptical cylinder"
	Sphere           Shape = "sphere"
	Ellipsoid        Shape = "ellipsoid"
	CylinderAlong    Shape = "horizontal cylinder along"
	CylinderAcross   Shape = "horizontal cylinder across"
	UprightDisc      Shape = "upright disc"
	UnnamedShape     Shape = "unknown"
)

// shapeOf returns the shape that the signs stand for. A circle may also be written as in 1986: width negative, length 0.
func shapeOf(width, length, height float64) Shape {
	switch s := [3]int{sign(width), sign(length), sign(height)}; s {
	case [3]int{0, 0, 0}:
		return Point
	case [3]int{1, 1, 0}:
		return Rectangle
	case [3]int{1, 1, 1}:
		return Cuboid
	case [3]int{-1, -1, 0}, [3]int{-1, -1, 1}, [3]int{-1, -1, -1}:
		return roundShape(s[2], width == length && (height == width || s[2] >= 0))
	case [3]int{-1, 0, 0}, [3]int{-1, 0, 1}:
		return Circle
	case [3]int{-1, 1, -1}:
		return CylinderAlong
	case [3]int{1, -1, -1}:
		return CylinderAcross
	case [3]int{-1, 0, -1}:
		return UprightDisc
	}
	return UnnamedShape
}

func roundShape(height int, equal bool) Shape {
	switch {
	case height == 0 && equal:
		return Circle
	case height == 0:
		return Ellipse
	case height > 0 && equal:
		return VerticalCylinder
	case height > 0:
		return EllipticCylinder
	case equal:
		return Sphere
	}
	return Ellipsoid
}

func sign(x float64) int {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}
