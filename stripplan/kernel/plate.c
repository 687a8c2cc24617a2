/* Tables for one plate: see layout/tables.py, which gives the same answers without a compiler. */
#include <stdint.h>


static int64_t larger(int64_t a, int64_t b) { return a > b ? a : b; }

/* Two pieces of worth a and b, of which one may be waste where that is legal; below 0 = must not be left. */
static int64_t joined(int64_t a, int64_t b, int64_t left_a, int64_t left_b)
{
    return larger(a + larger(b, left_b), b + larger(a, left_a));
}

/* Rows from `from` to before `to`. worth: rows of ny. left_x, left_y: what a piece of that size is worth as waste (0, or none at all).
   Cuts across a rectangle are legal for the first `across` sizes of y, cuts along it for the first `along` of x. */
void plate_fill(int64_t from, int64_t to, int64_t ny, int64_t *worth, const int64_t *left_x, const int64_t *left_y,
                int64_t across, int64_t along, const int64_t *x_start, const int32_t *x_first, const int32_t *x_rest,
                const int64_t *y_start, const int32_t *y_first, const int32_t *y_rest)
{
    for (int64_t i = from; i < to; i++) {
        int64_t *row = worth + i * ny;
        for (int64_t k = x_start[i]; k < x_start[i + 1]; k++) {
            const int64_t a = x_first[k], b = x_rest[k];
            const int64_t *one = worth + a * ny, *other = worth + b * ny;
            for (int64_t j = 0; j < across; j++)
                row[j] = larger(row[j], joined(one[j], other[j], left_x[a], left_x[b]));
        }
        if (i >= along)
            continue;
        for (int64_t j = 0; j < ny; j++)
            for (int64_t k = y_start[j]; k < y_start[j + 1]; k++) {
                const int64_t a = y_first[k], b = y_rest[k];
                row[j] = larger(row[j], joined(row[a], row[b], left_y[a], left_y[b]));
            }
    }
}

/* The same where any waste may be left: worth is nowhere below 0. */
void plate_fill_free(int64_t from, int64_t to, int64_t ny, int64_t *worth, int64_t across, int64_t along,
                     const int64_t *x_start, const int32_t *x_first, const int32_t *x_rest,
                     const int64_t *y_start, const int32_t *y_first, const int32_t *y_rest)
{
    for (int64_t i = from; i < to; i++) {
        int64_t *row = worth + i * ny;
        for (int64_t k = x_start[i]; k < x_start[i + 1]; k++) {
            const int64_t *one = worth + x_first[k] * ny, *other = worth + x_rest[k] * ny;
            for (int64_t j = 0; j < across; j++)
                row[j] = larger(row[j], one[j] + other[j]);
        }
        if (i >= along)
            continue;
        for (int64_t j = 0; j < ny; j++) {
            int64_t best = row[j];
            for (int64_t k = y_start[j]; k < y_start[j + 1]; k++)
                best = larger(best, row[y_first[k]] + row[y_rest[k]]);
            row[j] = best;
        }
    }
}

/* outside: the most that can be had from a plate round a rectangle in its corner. room_x[i * nx + k] is the size
   of what lies between sizes i and k of x. */
void plate_outside(int64_t nx, int64_t ny, const int64_t *worth, int64_t *outside, const int32_t *room_x,
                   const int32_t *room_y)
{
    for (int64_t i = nx - 1; i >= 0; i--) {
        int64_t *row = outside + i * ny;
        for (int64_t j = 0; j < ny; j++)
            row[j] = 0;
        for (int64_t k = i + 1; k < nx; k++) {
            const int64_t *larger_box = outside + k * ny, *beside = worth + room_x[i * nx + k] * ny;
            for (int64_t j = 0; j < ny; j++)
                row[j] = larger(row[j], larger_box[j] + beside[j]);
        }
        for (int64_t j = ny - 1; j >= 0; j--)
            for (int64_t k = j + 1; k < ny; k++)
                row[j] = larger(row[j], row[k] + worth[i * ny + room_y[j * ny + k]]);
    }
}
