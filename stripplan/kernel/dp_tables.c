/* Tables of what every rectangle of a plate is worth.

   The compiled twin of layout/single_plate/dp_tables.py, value for value: read that file first. */

#include "kernel.h"

/* `Axis` in Python. Size n may be cut into sizes first[k] and rest[k], for k from start[n] to start[n + 1]. */
typedef struct {
    Int sizes;
    const Int *left, *start;
    const int32_t *first, *rest;
} Axis;

/* Two pieces of worth a and b, of which one may be waste where that is legal; below 0 = must not be left. */
static Int joined(Int a, Int b, Int left_a, Int left_b) {
    return larger(a + larger(b, left_b), b + larger(a, left_a));
}

/* Rows from `from` to before `to`; worth: a row for each size of x. Cuts across a rectangle are legal for the first
   `across` sizes of y, cuts along it for the first `along` of x. */
PUBLIC void dp_tables_fill(Int from, Int to, Int *worth, const Axis *x, const Axis *y, Int across, Int along) {
    const Int ny = y->sizes, *left_x = x->left, *left_y = y->left;
    for (Int i = from; i < to; i++) {
        Int *row = worth + i * ny;
        for (Int k = x->start[i], end = x->start[i + 1]; k < end; k++) {
            const Int a = x->first[k], b = x->rest[k];
            const Int *one = worth + a * ny, *other = worth + b * ny;
            for (Int j = 0; j < across; j++) row[j] = larger(row[j], joined(one[j], other[j], left_x[a], left_x[b]));
        }
        if (i >= along) continue;
        for (Int j = 0; j < ny; j++) {
            Int best = row[j];
            for (Int k = y->start[j], end = y->start[j + 1]; k < end; k++) {
                const Int a = y->first[k], b = y->rest[k];
                best = larger(best, joined(row[a], row[b], left_y[a], left_y[b]));
            }
            row[j] = best;
        }
    }
}

/* The same where any waste may be left: worth is nowhere below 0. */
PUBLIC void dp_tables_fill_free(Int from, Int to, Int *worth, const Axis *x, const Axis *y, Int across, Int along) {
    const Int ny = y->sizes, *y_start = y->start;
    const int32_t *y_first = y->first, *y_rest = y->rest;
    for (Int i = from; i < to; i++) {
        Int *row = worth + i * ny;
        for (Int k = x->start[i], end = x->start[i + 1]; k < end; k++) {
            const Int *one = worth + x->first[k] * ny, *other = worth + x->rest[k] * ny;
            for (Int j = 0; j < across; j++) row[j] = larger(row[j], one[j] + other[j]);
        }
        if (i >= along) continue;
        for (Int j = 0; j < ny; j++) {
            Int best = row[j];
            for (Int k = y_start[j], end = y_start[j + 1]; k < end; k++)
                best = larger(best, row[y_first[k]] + row[y_rest[k]]);
            row[j] = best;
        }
    }
}

/* outside: the most that can be had from a plate round a rectangle in its corner. room_x[i * nx + k] is the size
   of what lies between sizes i and k of x. */
PUBLIC void dp_tables_outside(Int nx, Int ny, const Int *worth, Int *outside, const int32_t *room_x,
                              const int32_t *room_y) {
    for (Int i = nx - 1; i >= 0; i--) {
        Int *row = outside + i * ny;
        for (Int j = 0; j < ny; j++) row[j] = 0;
        for (Int k = i + 1; k < nx; k++) {
            const Int *larger_box = outside + k * ny, *beside = worth + room_x[i * nx + k] * ny;
            for (Int j = 0; j < ny; j++) row[j] = larger(row[j], larger_box[j] + beside[j]);
        }
        for (Int j = ny - 1; j >= 0; j--)
            for (Int k = j + 1; k < ny; k++) row[j] = larger(row[j], row[k] + worth[i * ny + room_y[j * ny + k]]);
    }
}
