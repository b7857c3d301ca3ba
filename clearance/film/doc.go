// Package film computes the oil film of a plain bearing under a steady load:
// its smallest thickness, friction, flow, pressure and warmth, and which
// clearances leave a film.
//
// Every result is for a STEADY load, and every film of a bearing carries a
// caution that says so. What has no place for one, the dimensionless figures and
// the readings of charts, has a method Caution that returns it: they are for a
// steady load all the same. The load on an engine's bearings turns and pulses, and squeeze carries much of it: for an engine these
// figures rank clearances, oils and speeds against each other and are no pass or
// fail proof.
//
// # Model
//
// A full (360 degree) cylindrical bearing, journal and bearing in line, smooth
// surfaces, a thin laminar film of one viscosity. With theta from the widest gap
// in the sense of rotation, h = c (1 + eps cos theta), x = r theta, U = omega r:
//
//	d/dx(h^3 dp/dx) + d/dz(h^3 dp/dz) = 6 mu U dh/dx
//
// with ambient pressure at both ends, the film full from the widest gap on and
// ruptured where p and its gradient reach 0 (Swift and Stieber). Its solution
// depends on L/D and eps alone:
//
//	S = (r/c)^2 mu N/P    Sommerfeld number, N in REVOLUTIONS per second
//	P = W/(l d)           unit load on the projected area
//	h0 = c (1 - eps)      smallest film
//	phi                   attitude angle, from the load line to the smallest gap
//	(r/c) f               friction variable, the gap taken as full of oil
//	Q/(r c N l)           flow variable; Qs/Q the share that leaves at the ends
//	P/pmax                pressure ratio
//
// c is the RADIAL clearance, half of the diametral one that is measured and that
// the fields of this package hold; r/c = d/C. Other texts take N in radians per
// second (S' = 2 pi S) or call So = 1/(2 pi S) the Sommerfeld number.
//
// # Table
//
// The package holds the solution at 22 length ratios from 0 (Ocvirk's closed
// form) to infinity and 75 eccentricities from 0 to 0.99, computed by finite
// volumes on two grids with Richardson extrapolation. Between nodes it
// interpolates by cubics in L/D over 1 + L/D and in -ln(1 - eps), with slopes
// that keep attitude, side share and pressure ratio monotone in eccentricity.
// It agrees with an independent solution of the same equation to 0.02 % in S.
// An eccentricity over 0.99 is refused: by then elastic and thermal distortion
// and roughness are not small against the film.
//
// # Validity
//
// Laminar: see Bearing.Regime. Not covered and not hinted at: moving loads and
// squeeze, tilt and edge contact, elastic shells, roughness (see the criteria),
// viscosity that varies in the film or with pressure and shear, axial grooves and
// feed holes, the pumping of the supply and starvation. A bearing with a groove
// round its middle is two bearings, each with one land and half the load.
//
// # Sources
//
// Raimondi and Boyd, A Solution for the Finite Journal Bearing and its
// Application to Analysis and Design, Trans. ASLE 1 (1958); Shigley, Mechanical
// Engineering Design, chapter 12; ISO 7902; ASTM D341; SAE J300; ISO 3448. The
// figures of the first are read in transcriptions.
package film
