// Package drawing makes the pictures of packyard from plain values: one neutral
// model of lines, text and figures on a sheet, drawn once and written as SVG or PDF, and
// one scene of boxes and edges, written as GLB (glTF 2.0, binary).
//
// # Model
//
// A Sheet is paper: millimetres from its upper left corner, at a scale that is
// stated where a thing is drawn to scale. Marks stand in groups; a group that
// shows an object says which and with which value, so that a picture can be
// counted and picked. Lines have the widths of technical drawings; areas carry at
// most a light density. Colours are roles only (ink, faint, accent, high voltage,
// bad, paper), resolved by CSS custom properties of the page where these exist,
// else by own values for light and dark ground and for print, else by
// presentation attributes. Orange is for what carries high voltage and for
// nothing else; that is common practice of the trade. Nothing is told by colour
// alone: line width, dashes, density or words say it too.
//
// Orthogonal views are in first-angle projection: seen from the left, below it
// from above, to the right from the front. A point of the vehicle frame (x
// rearward, y to the left, z up) is at
//
//	left:  (x0 + k·x, y0 − k·z)    above: (x0 + k·x, y0 + k·y)    front: (x0 + k·y, y0 − k·z)
//
// with k sheet millimetres per metre, 1000 over the scale.
//
// Axes have ticks at 1, 2 or 5 times a power of ten in the unit shown. Series
// longer than the columns of their panel are drawn by the least and greatest
// value of each column, so that no peak is lost.
//
// In a scene, a point of the vehicle frame goes to X = y, Y = z, Z = −x: metres,
// Y up, the vehicle facing +Z, its left at +X. The vehicle frame is left-handed
// (rearward, left, up) and that of glTF right-handed, so the turn of axes has a
// determinant of −1 and shows the vehicle as it is, not its mirror image.
//
// # Assumptions and range
//
// Text widths are estimated with those of a wide sans-serif face, so that labels
// kept apart here are apart in narrower ones too. Wheels are drawn at the rolling
// radius, their width is a symbol. The outline of the vehicle is its overall size;
// no body shape is invented. Coordinates must be finite: see ErrNotFinite.
//
// # Sources
//
// iso-128 (line widths, views), iso-5455 (scales), iso-5456-2 (first-angle
// projection), gltf-2 (GLB), shepperd-1978 (quaternions). docs/method/drawing.md
// says which test holds what.
package drawing
