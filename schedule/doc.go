// Package schedule holds driving schedules: a speed over time, with a grade
// where the road has one.
//
// A Schedule is a table of rows, speed linear in time between them, grade
// constant over the step that follows a row. With speed v, grade tan θ and the
// distance s along the road,
//
//	s_i+1 − s_i = (v_i + v_i+1)/2 · (t_i+1 − t_i)
//	rise        = (s_i+1 − s_i) · sin θ_i
//
// Built in are the schedules that range and consumption are usually stated on
// (IDs lists them), held to their published figures by tests; constant speeds
// are written in words (Parse). ReadCSV reads the user's table, ReadGPX a
// recorded or planned track with elevation.
//
// What a reader has to change to make a schedule of a track (resample the
// elevation by distance, smooth it, average the speed, join segments) it tells
// in Notes; what is wrong in a file it refuses as check.Problems with line and
// column and never mends.
//
// A vehicle that cannot follow is given a lowered schedule by Cap, which keeps
// the road and stretches the clock.
//
// Assumptions: the speed of a file is that along the road; a vehicle in a soak
// is switched off. Range of validity: roads up to 40 % grade, speeds up to
// 300 km/h, a week of driving.
//
// Sources: 40 CFR Part 86 Appendix I and Part 600 Appendix I, UN GTR No. 15
// Annex 1, UN R83, GPX 1.1, WGS-84; see docs/method/schedule.md.
package schedule
