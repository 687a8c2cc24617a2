/* The one random generator of the searches; its twin in Python is rng.py, and a test compares the two.

   Sequence and constants: splitmix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014, 453-472, and the public-domain
   code of S. Vigna; both from memory). */

#ifndef STRIPPLAN_RNG_H
#define STRIPPLAN_RNG_H

#include "kernel.h"

typedef struct {
    uint64_t state;
} Rng;

/* The next 64 random bits. */
static inline uint64_t drawn(Rng *rng) {
    uint64_t z = (rng->state += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

/* A number from 0 to before n; the upper bits are the better ones, and 31 keep the remainder's bias below n in 2^31. */
static inline Int below(Rng *rng, Int n) { return (Int)(drawn(rng) >> 33) % n; }

#endif
