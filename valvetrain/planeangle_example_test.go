package valvetrain_test

import (
	"fmt"

	"example.com/trialfit/valvetrain"
)

func ExamplePlaneDegrees() {
	a := valvetrain.PlaneDegrees(45)
	fmt.Println(a, a.Degrees())
	// Output: 45 deg 45
}

func ExamplePlaneAngle() {
	fmt.Printf("%.3f degrees to the radian\n", valvetrain.PlaneAngle(1).Degrees())
	// Output: 57.296 degrees to the radian
}
