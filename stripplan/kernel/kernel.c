/* Which sources the library is of, and the memory of all its parts. */

#include <stdlib.h>

#include "kernel.h"
#include "rng.h"

#ifndef KERNEL_DIGEST
#define KERNEL_DIGEST ""
#endif

/* The digest of the sources that were compiled: Python looks for it in the file, and opens no library of other sources. */
PUBLIC extern const char kernel_digest[];
const char kernel_digest[] = KERNEL_DIGEST;

/* Allocations still granted; below 0 = as many as the machine grants. */
static Int granted = -1;

/* For tests alone, in one thread: after so many allocations all are refused; below 0 lifts the limit. */
PUBLIC void kernel_grant(Int allocations) { granted = allocations; }

static int refused(Int count, size_t size) {
    if (count < 0 || (uint64_t)count > PTRDIFF_MAX / size) return 1;
    if (granted < 0) return 0;
    if (granted == 0) return 1;
    granted--;
    return 0;
}

void *memory_new(Int count, size_t size) {
    count = larger(count, 1); /* NULL for nothing would be read as a refusal */
    return refused(count, size) ? NULL : calloc((size_t)count, size);
}

void *memory_more(void *old, Int count, size_t size) {
    count = larger(count, 1);
    return refused(count, size) ? NULL : realloc(old, (size_t)count * size);
}

void memory_free(void *room) { free(room); }

/* The first numbers of the random generator, to compare it with its twin. */
PUBLIC void kernel_drawn(uint64_t seed, Int n, Int many, Int *numbers) {
    Rng rng = {seed};
    for (Int k = 0; k < many; k++) numbers[k] = below(&rng, n);
}
