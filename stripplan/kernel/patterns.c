/* Fewer different patterns: a few taken out, made anew in as many or fewer, kept by simulated annealing.

   The compiled twin of pattern_search.py: the same steps on the same numbers with the same chance, for speed alone.
   Read that file first; names are the same there. A change in one is a change in both, and
   tests/layout/test_fewest_patterns.py compares them.

   C99, whole numbers of 64 bits. */

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#ifdef _WIN32
#define PUBLIC __declspec(dllexport)
#else
#define PUBLIC
#endif

typedef int64_t Int;

enum { MOST_TAKEN = 16, LOOKS = 8, TRIED_OF_THREE = 4, LESS_FULL = 50, FINISHED = 70, SPLIT_SKIPPED = 20, RUN_SKIPPED = 15, FIRST_CYCLE = 1024 };

typedef struct {
    Int item, size, most, finish, base, step, number;
} Entry;

typedef struct {
    Int items, capacity, least, unit, rest, zone, max_pieces, max_distinct, min_runs, warmest, most_over;
    Int *width, *over;
    uint64_t chance;
    Int step, cycle;
    Int patterns, *runs, *counts;
    Int best_patterns, *best_runs, *best_counts;
    Int made, *made_runs, *made_counts;
    Int *wanted, total;
    Entry *entries;
    Int count;
    uint64_t *rows;
    Int rows_room;
} Search;

static Int below(Search *s, Int n) {
    uint64_t z = (s->chance += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return (Int)((z ^ (z >> 31)) >> 33) % n;
}

static Int smaller(Int a, Int b) { return a < b ? a : b; }

static Int larger(Int a, Int b) { return a > b ? a : b; }

static Int floor_div(Int a, Int b) { return a >= 0 ? a / b : -((-a + b - 1) / b); }

static size_t bytes(const Search *s, Int patterns) { return sizeof(Int) * (size_t)(patterns * s->items); }

/* ---- numbers of pieces that fill a plate ---- */

static int has(const uint64_t *row, Int n) { return (int)(row[n >> 6] >> (n & 63) & 1); }

/* row |= row << by */
static void shifted_in(uint64_t *row, Int by, Int words) {
    Int whole = by >> 6, part = by & 63;
    for (Int n = words - 1; n >= whole; n--) {
        uint64_t bits = row[n - whole] << part;
        if (part && n > whole) bits |= row[n - whole - 1] >> (64 - part);
        row[n] |= bits;
    }
}

static int rest_ok(const Search *s, Int total, Int over) {
    Int slack = s->rest + (s->capacity - total) * s->unit;
    return slack == 0 || slack >= s->zone || slack <= over;
}

static void shuffle(Search *s) {
    for (Int n = s->count - 1; n > 0; n--) {
        Int other = below(s, n + 1);
        Entry held = s->entries[n];
        s->entries[n] = s->entries[other];
        s->entries[other] = held;
    }
}

static int reach(Search *s, Int high, Int words) {
    if (words * (s->count + 1) > s->rows_room) {
        s->rows_room = 2 * words * (s->count + 1);
        free(s->rows);
        s->rows = malloc(sizeof(uint64_t) * (size_t)s->rows_room);
        if (!s->rows) {
            s->rows_room = 0;
            return 0;
        }
    }
    memset(s->rows, 0, sizeof(uint64_t) * (size_t)words);
    s->rows[0] = 1;
    for (Int n = 0; n < s->count; n++) {
        uint64_t *row = s->rows + (n + 1) * words;
        memcpy(row, row - words, sizeof(uint64_t) * (size_t)words);
        Int step = 1;
        for (Int most = s->entries[n].most; most > 0; most -= step, step *= 2)
            if (smaller(step, most) * s->entries[n].size <= high) shifted_in(row, smaller(step, most) * s->entries[n].size, words);
    }
    return 1;
}

static Int chosen_total(Search *s, const uint64_t *row, Int low, Int high, Int fixed) {
    Int total = -1;
    for (Int t = high; t >= low; t--) {
        if (!row[t >> 6]) {
            t &= ~(Int)63;
            continue;
        }
        if (!has(row, t) || !rest_ok(s, t + fixed, s->most_over)) continue;
        total = t;
        if (below(s, 100) >= LESS_FULL) break;
    }
    return total;
}

static Int chosen_number(Search *s, const Entry *e, const uint64_t *row, Int total) {
    Int top = smaller(e->most, total / e->size), some = 0, number = 0;
    if (e->finish > 0 && e->finish <= top && has(row, total - e->finish * e->size) && below(s, 100) < FINISHED) return e->finish;
    for (Int n = 0; n <= top; n++) some += has(row, total - n * e->size);
    for (Int nth = below(s, some);; number++)
        if (has(row, total - number * e->size) && nth-- == 0) return number;
}

static int filled(Search *s, Int low, Int high, Int fixed) {
    Int sum = 0, words = (high >> 6) + 1;
    for (Int n = 0; n < s->count; n++) sum += s->entries[n].size * s->entries[n].most;
    if (high < 0 || sum < low) return 0;
    shuffle(s);
    if (!reach(s, high, words)) return 0;
    Int total = chosen_total(s, s->rows + s->count * words, larger(low, 0), high, fixed);
    if (total < 0) return 0;
    for (Int n = s->count - 1; n >= 0; n--) {
        Entry *e = s->entries + n;
        e->number = chosen_number(s, e, s->rows + n * words, total);
        total -= e->number * e->size;
    }
    return 1;
}

/* ---- patterns made anew ---- */

static int legal(const Search *s, const Int *counts) {
    Int total = 0, pieces = 0, distinct = 0, over = 0;
    for (Int i = 0; i < s->items; i++) {
        if (!counts[i]) continue;
        total += counts[i] * s->width[i];
        pieces += counts[i];
        distinct++;
        over = larger(over, s->over[i]);
    }
    return pieces > 0 && pieces <= s->max_pieces && distinct <= s->max_distinct && total >= s->least && total <= s->capacity &&
           rest_ok(s, total, over);
}

static Int *blank(Search *s, Int number, Int runs) {
    Int *counts = s->made_counts + (s->made + number) * s->items;
    s->made_runs[s->made + number] = runs;
    memset(counts, 0, bytes(s, 1));
    return counts;
}

static int one_left(Search *s, Int plates) {
    if (plates < s->min_runs) return 0;
    Int *counts = blank(s, 0, plates);
    for (Int i = 0; i < s->items; i++) {
        if (s->wanted[i] % plates) return 0;
        counts[i] = s->wanted[i] / plates;
    }
    if (!legal(s, counts)) return 0;
    s->made++;
    return 1;
}

/* Entries for the pieces that the first of two patterns may hold, so that the second can hold the rest. */
static int shared(Search *s, Int one, Int two) {
    s->count = 0;
    for (Int i = 0; i < s->items; i++) {
        Int wanted = s->wanted[i], base = 0, step = 1;
        if (!wanted) continue;
        while (base * one <= wanted && (wanted - base * one) % two) base++;
        if (base * one > wanted) return 0;
        while (step * one % two) step++;
        s->entries[s->count++] = (Entry){i, step * s->width[i], (wanted / one - base) / step, 0, base, step, 0};
    }
    return 1;
}

static int two_with(Search *s, Int one, Int two) {
    if (!shared(s, one, two)) return 0;
    Int fixed = 0;
    for (Int n = 0; n < s->count; n++) fixed += s->entries[n].base * s->width[s->entries[n].item];
    Int low = larger(-floor_div(two * s->capacity - s->total, one), s->least);
    Int high = smaller(floor_div(s->total - two * s->least, one), s->capacity);
    if (low > high || fixed > high || !filled(s, low - fixed, high - fixed, fixed)) return 0;
    Int *first = blank(s, 0, one), *second = blank(s, 1, two);
    for (Int n = 0; n < s->count; n++) {
        const Entry *e = s->entries + n;
        first[e->item] = e->base + e->number * e->step;
        second[e->item] = (s->wanted[e->item] - one * first[e->item]) / two;
    }
    if (!legal(s, first) || !legal(s, second)) return 0;
    s->made += 2;
    return 1;
}

static int two_left(Search *s, Int plates) {
    for (Int one = plates - s->min_runs; 2 * one >= plates; one--)
        if (below(s, 100) >= SPLIT_SKIPPED && two_with(s, one, plates - one)) return 1;
    return 0;
}

static int running(Search *s, Int times, Int low) {
    s->count = 0;
    for (Int i = 0; i < s->items; i++) {
        Int most = smaller(s->wanted[i] / times, s->capacity / s->width[i]);
        Int finish = s->wanted[i] % times ? 0 : s->wanted[i] / times;
        if (most) s->entries[s->count++] = (Entry){i, s->width[i], most, finish, 0, 1, 0};
    }
    if (!filled(s, low, s->capacity, 0)) return 0;
    Int *counts = blank(s, 0, times);
    for (Int n = 0; n < s->count; n++) counts[s->entries[n].item] = s->entries[n].number;
    if (!legal(s, counts)) return 0;
    s->made++;
    return 1;
}

static int longest(Search *s, Int plates) {
    Int free_width = plates * s->capacity - s->total, top = 0;
    for (Int i = 0; i < s->items; i++) top = larger(top, s->wanted[i]);
    for (Int times = smaller(plates, top); times >= s->min_runs; times--) {
        if (times < plates && plates - times < s->min_runs) continue;
        if (times > 1 && below(s, 100) < RUN_SKIPPED) continue;
        if (running(s, times, larger(s->capacity - free_width / times, s->least))) return 1;
    }
    return 0;
}

static void take_from_wanted(Search *s, Int sign) {
    const Int *counts = s->made_counts + (s->made - 1) * s->items;
    for (Int i = 0; i < s->items; i++) {
        Int pieces = sign * s->made_runs[s->made - 1] * counts[i];
        s->wanted[i] -= pieces;
        s->total -= pieces * s->width[i];
    }
}

static int three_left(Search *s, Int plates) {
    for (int n = 0; n < TRIED_OF_THREE; n++) {
        if (!longest(s, plates)) return 0;
        Int rest = plates - s->made_runs[s->made - 1];
        take_from_wanted(s, 1);
        if (!rest || one_left(s, rest) || two_left(s, rest)) return 1;
        take_from_wanted(s, -1);
        s->made--;
    }
    return 0;
}

static int rebuilt(Search *s, Int plates, Int most) {
    s->made = 0;
    s->total = 0;
    for (Int i = 0; i < s->items; i++) s->total += s->wanted[i] * s->width[i];
    while (plates) {
        if (one_left(s, plates)) return 1;
        if (most - s->made == 1) return 0;
        if (most - s->made == 2) return two_left(s, plates);
        if (most - s->made == 3) return three_left(s, plates);
        if (!longest(s, plates)) return 0;
        plates -= s->made_runs[s->made - 1];
        take_from_wanted(s, 1);
    }
    return 1;
}

/* ---- a step ---- */

static Int in_common(const Search *s, Int pattern) {
    Int n = 0;
    for (Int i = 0; i < s->items; i++) n += s->counts[pattern * s->items + i] && s->wanted[i];
    return n;
}

static Int near(Search *s, Int left) {
    Int at = below(s, left), most = in_common(s, at);
    for (Int n = 0; n < LOOKS; n++) {
        Int other = below(s, left), same = in_common(s, other);
        if (same < most || (same == most && s->runs[other] >= s->runs[at])) continue;
        at = other;
        most = same;
    }
    return at;
}

static void swap_patterns(Search *s, Int a, Int b) {
    Int *one = s->counts + a * s->items, *other = s->counts + b * s->items, held = s->runs[a];
    s->runs[a] = s->runs[b];
    s->runs[b] = held;
    for (Int i = 0; i < s->items; i++) {
        held = one[i];
        one[i] = other[i];
        other[i] = held;
    }
}

static Int take_out(Search *s, Int many) {
    Int plates = 0;
    memset(s->wanted, 0, bytes(s, 1));
    for (Int left = s->patterns; left > s->patterns - many; left--) {
        swap_patterns(s, left == s->patterns ? below(s, left) : near(s, left), left - 1);
        const Int *counts = s->counts + (left - 1) * s->items;
        for (Int i = 0; i < s->items; i++) s->wanted[i] += s->runs[left - 1] * counts[i];
        plates += s->runs[left - 1];
    }
    return plates;
}

static int accepted(Search *s, Int kept) {
    Int longer = 0;
    for (Int n = 0; n < s->made; n++) longer += s->made_runs[n] * s->made_runs[n];
    for (Int n = kept; n < s->patterns; n++) longer -= s->runs[n] * s->runs[n];
    Int warm = s->warmest * (s->cycle - s->step) / s->cycle;
    return s->made < s->patterns - kept || longer >= 0 || (warm && longer >= -below(s, warm));
}

static void put_in(Search *s, Int kept) {
    for (Int n = 0; n < s->made; n++) {
        const Int *counts = s->made_counts + n * s->items;
        Int at = 0;
        while (at < kept && memcmp(s->counts + at * s->items, counts, bytes(s, 1)) != 0) at++;
        if (at < kept) {
            s->runs[at] += s->made_runs[n];
        } else {
            memcpy(s->counts + kept * s->items, counts, bytes(s, 1));
            s->runs[kept++] = s->made_runs[n];
        }
    }
    s->patterns = kept;
}

static void keep_best(Search *s) {
    s->best_patterns = s->patterns;
    memcpy(s->best_runs, s->runs, sizeof(Int) * (size_t)s->patterns);
    memcpy(s->best_counts, s->counts, bytes(s, s->patterns));
}

static void step(Search *s) {
    if (s->step == s->cycle) {
        s->step = 0;
        s->cycle *= 2;
    }
    Int many = 2 + below(s, smaller(s->patterns, MOST_TAKEN) - 1);
    Int plates = take_out(s, many);
    if (rebuilt(s, plates, many) && accepted(s, s->patterns - many)) {
        put_in(s, s->patterns - many);
        if (s->patterns < s->best_patterns) keep_best(s);
    }
    s->step++;
}

/* ---- what Python calls ---- */

static Int *copied(const int64_t **data, Int many) {
    Int *made = calloc((size_t)many + 1, sizeof(Int));
    memcpy(made, *data, sizeof(Int) * (size_t)many);
    *data += many;
    return made;
}

/* `data`: items, capacity, least, unit, rest, zone, max pieces, max distinct, min runs, warmest, patterns; widths; overs;
   for each pattern its runs; then for each its numbers of all items. */
PUBLIC void *patterns_new(const int64_t *data, uint64_t seed) {
    Search *s = calloc(1, sizeof *s);
    if (!s) return NULL;
    Int *head[] = {&s->items, &s->capacity, &s->least, &s->unit, &s->rest, &s->zone, &s->max_pieces, &s->max_distinct,
                   &s->min_runs, &s->warmest, &s->patterns};
    for (size_t n = 0; n < sizeof head / sizeof *head; n++) *head[n] = *data++;
    s->width = copied(&data, s->items);
    s->over = copied(&data, s->items);
    for (Int i = 0; i < s->items; i++) s->most_over = larger(s->most_over, s->over[i]);
    s->runs = copied(&data, s->patterns);
    s->counts = copied(&data, s->patterns * s->items);
    size_t places = (size_t)s->patterns + 2;
    s->best_runs = calloc(places, sizeof(Int));
    s->best_counts = calloc(places * (size_t)s->items + 1, sizeof(Int));
    s->made_runs = calloc(places, sizeof(Int));
    s->made_counts = calloc(places * (size_t)s->items + 1, sizeof(Int));
    s->wanted = calloc((size_t)s->items + 1, sizeof(Int));
    s->entries = calloc((size_t)s->items + 1, sizeof(Entry));
    s->chance = seed;
    s->cycle = FIRST_CYCLE;
    keep_best(s);
    return s;
}

/* Steps done: fewer than asked once one pattern is left. */
PUBLIC int64_t patterns_run(void *search, int64_t steps) {
    Search *s = search;
    int64_t done = 0;
    for (; done < steps && s->patterns > 1; done++) step(s);
    return done;
}

PUBLIC int64_t patterns_best(void *search) { return ((Search *)search)->best_patterns; }

/* The runs of the best patterns, then for each its numbers of all items. */
PUBLIC void patterns_found(void *search, int64_t *out) {
    const Search *s = search;
    memcpy(out, s->best_runs, sizeof(Int) * (size_t)s->best_patterns);
    memcpy(out + s->best_patterns, s->best_counts, bytes(s, s->best_patterns));
}

PUBLIC void patterns_free(void *search) {
    Search *s = search;
    Int *owned[] = {s->width, s->over, s->runs, s->counts, s->best_runs, s->best_counts, s->made_runs, s->made_counts, s->wanted};
    for (size_t n = 0; n < sizeof owned / sizeof *owned; n++) free(owned[n]);
    free(s->entries);
    free(s->rows);
    free(s);
}
