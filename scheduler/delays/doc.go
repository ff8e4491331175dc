// Package delays chooses, for jobs that fire once a cycle, how much later each firing comes in which cycle, so that a foreign
// sound which keeps coming at the same place of the cycle shifts from one reading to the next and the two disagree.
//
//	scheduler/delays ─► scheduler ─► instance
//
// Two ways. Alternating: in every second cycle a job fires later by a delay of its own; jobs that can hear each other have
// different ones, those that cannot may share, so that as many are needed as colours for the graph of who hears whom.
// Dithered: every firing comes later by a pseudo-random time.
//
// A reading counts if it differs from the one before by no more than a threshold. How much later than planned a sound must
// come, in which cycle, is arithmetic on whole microseconds:
//
//	d_x              delay of x in every second cycle; in the others 0
//	u                how fast a path of sound grows or shrinks, in time per time: 2 v / c
//	J                greatest change of a reading by jitter and by the step of the timer that reads
//	a = u (T + max d) + J        greatest change of a true echo from one reading to the next
//	threshold >= a               so a true echo passes
//	shift = threshold + a        a foreign sound must move by more than this, whatever its path does
//	|d_x - d_y| > shift          sound of this cycle, of the one before the last …
//	 d_x + d_y  > shift          sound of the last cycle; x = y: its own
//
// The method of alternating delays: Borenstein and Koren, "Error eliminating rapid ultrasonic firing for mobile robot obstacle
// avoidance", IEEE Trans. Robotics and Automation 11 (1995) 132-138. The inequalities are derived from it; with the least of all they
// ask, d_k = (2k-1)/2 shift for k = 1..K, and no K delays exist if u (2K-1) >= 1.
package delays
