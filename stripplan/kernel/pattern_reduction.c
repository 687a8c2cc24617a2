/* Fewer different patterns: a few taken out, made anew in as many or fewer, kept by simulated annealing.

   The compiled twin of layout/strips/pattern_reduction.py: the same steps on the same numbers with the same chance, for
   speed alone. Read that file first; names are the same there. A change in one is a change in both, and
   tests/layout/strips/test_fewest_patterns.py compares them.

   C99, whole numbers of 64 bits. */

#include "kernel.h"
#include "rng.h"

enum { MOST_TAKEN = 16, LOOKS = 8, TRIED_OF_THREE = 4, FIRST_CYCLE = 1024 };
enum { LESS_FULL = 50, FINISHED = 70, SPLIT_SKIPPED = 20, RUN_SKIPPED = 15 };

/* `Task` in Python, with the number of items; arrays by item, which stay the caller's. */
typedef struct {
    Int items, capacity, least, unit, rest, zone, max_pieces, max_distinct, min_runs;
    const Int *widths, *over;
} Task;

typedef struct {
    Int item, size, most, finish, base, step, number;
} Entry;

/* Patterns are rows of `counts`, a number for each item. `rows`: see `reach`. */
typedef struct {
    Task task;
    Int warmest, most_over;
    Rng rng;
    Int step, cycle;
    Int patterns, *runs, *counts;
    Int best_patterns, *best_runs, *best_counts;
    Int made, *made_runs, *made_counts;
    Int *wanted, total;
    Entry *entries;
    Int count;
    uint64_t *rows;
} Search;

static Int floor_div(Int a, Int b) { return a >= 0 ? a / b : -((-a + b - 1) / b); }

static size_t bytes(const Search *s, Int patterns) { return sizeof(Int) * (size_t)(patterns * s->task.items); }

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
    Int slack = s->task.rest + (s->task.capacity - total) * s->task.unit;
    return slack == 0 || slack >= s->task.zone || slack <= over;
}

static void shuffle(Search *s) {
    for (Int n = s->count - 1; n > 0; n--) {
        Int other = below(&s->rng, n + 1);
        Entry held = s->entries[n];
        s->entries[n] = s->entries[other];
        s->entries[other] = held;
    }
}

/* rows: for no entry, the first, the first two ... the totals up to `high` that they reach, as bits. */
static void reach(Search *s, Int high, Int words) {
    memset(s->rows, 0, sizeof(uint64_t) * (size_t)words);
    s->rows[0] = 1;
    for (Int n = 0; n < s->count; n++) {
        const Entry *e = s->entries + n;
        uint64_t *row = s->rows + (n + 1) * words;
        memcpy(row, row - words, sizeof(uint64_t) * (size_t)words);
        Int step = 1;
        for (Int most = e->most; most > 0; most -= step, step *= 2)
            if (smaller(step, most) * e->size <= high) shifted_in(row, smaller(step, most) * e->size, words);
    }
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
        if (below(&s->rng, 100) >= LESS_FULL) break;
    }
    return total;
}

static Int chosen_number(Search *s, const Entry *e, const uint64_t *row, Int total) {
    Int top = smaller(e->most, total / e->size), some = 0, number = 0;
    if (e->finish > 0 && e->finish <= top && has(row, total - e->finish * e->size) && below(&s->rng, 100) < FINISHED)
        return e->finish;
    for (Int n = 0; n <= top; n++) some += has(row, total - n * e->size);
    for (Int nth = below(&s->rng, some);; number++)
        if (has(row, total - number * e->size) && nth-- == 0) return number;
}

static int filled(Search *s, Int low, Int high, Int fixed) {
    Int sum = 0, words = (high >> 6) + 1;
    for (Int n = 0; n < s->count; n++) sum += s->entries[n].size * s->entries[n].most;
    if (high < 0 || sum < low) return 0;
    shuffle(s);
    reach(s, high, words);
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
    for (Int i = 0; i < s->task.items; i++) {
        if (!counts[i]) continue;
        total += counts[i] * s->task.widths[i];
        pieces += counts[i];
        distinct++;
        over = larger(over, s->task.over[i]);
    }
    return pieces > 0 && pieces <= s->task.max_pieces && distinct <= s->task.max_distinct && total >= s->task.least &&
           total <= s->task.capacity && rest_ok(s, total, over);
}

static Int *blank(Search *s, Int number, Int runs) {
    Int *counts = s->made_counts + (s->made + number) * s->task.items;
    s->made_runs[s->made + number] = runs;
    memset(counts, 0, bytes(s, 1));
    return counts;
}

static int one_left(Search *s, Int plates) {
    if (plates < s->task.min_runs) return 0;
    Int *counts = blank(s, 0, plates);
    for (Int i = 0; i < s->task.items; i++) {
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
    for (Int i = 0; i < s->task.items; i++) {
        Int wanted = s->wanted[i], base = 0, step = 1;
        if (!wanted) continue;
        while (base * one <= wanted && (wanted - base * one) % two) base++;
        if (base * one > wanted) return 0;
        while (step * one % two) step++;
        s->entries[s->count++] = (Entry){i, step * s->task.widths[i], (wanted / one - base) / step, 0, base, step, 0};
    }
    return 1;
}

static int two_with(Search *s, Int one, Int two) {
    if (!shared(s, one, two)) return 0;
    Int fixed = 0;
    for (Int n = 0; n < s->count; n++) fixed += s->entries[n].base * s->task.widths[s->entries[n].item];
    Int low = larger(-floor_div(two * s->task.capacity - s->total, one), s->task.least);
    Int high = smaller(floor_div(s->total - two * s->task.least, one), s->task.capacity);
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
    for (Int one = plates - s->task.min_runs; 2 * one >= plates; one--)
        if (below(&s->rng, 100) >= SPLIT_SKIPPED && two_with(s, one, plates - one)) return 1;
    return 0;
}

static int running(Search *s, Int times, Int low) {
    s->count = 0;
    for (Int i = 0; i < s->task.items; i++) {
        Int most = smaller(s->wanted[i] / times, s->task.capacity / s->task.widths[i]);
        Int finish = s->wanted[i] % times ? 0 : s->wanted[i] / times;
        if (most) s->entries[s->count++] = (Entry){i, s->task.widths[i], most, finish, 0, 1, 0};
    }
    if (!filled(s, low, s->task.capacity, 0)) return 0;
    Int *counts = blank(s, 0, times);
    for (Int n = 0; n < s->count; n++) counts[s->entries[n].item] = s->entries[n].number;
    if (!legal(s, counts)) return 0;
    s->made++;
    return 1;
}

static int longest(Search *s, Int plates) {
    Int free_width = plates * s->task.capacity - s->total, top = 0;
    for (Int i = 0; i < s->task.items; i++) top = larger(top, s->wanted[i]);
    for (Int times = smaller(plates, top); times >= s->task.min_runs; times--) {
        if (times < plates && plates - times < s->task.min_runs) continue;
        if (times > 1 && below(&s->rng, 100) < RUN_SKIPPED) continue;
        if (running(s, times, larger(s->task.capacity - free_width / times, s->task.least))) return 1;
    }
    return 0;
}

static void take_from_wanted(Search *s, Int sign) {
    const Int *counts = s->made_counts + (s->made - 1) * s->task.items;
    for (Int i = 0; i < s->task.items; i++) {
        Int pieces = sign * s->made_runs[s->made - 1] * counts[i];
        s->wanted[i] -= pieces;
        s->total -= pieces * s->task.widths[i];
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
    for (Int i = 0; i < s->task.items; i++) s->total += s->wanted[i] * s->task.widths[i];
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
    for (Int i = 0; i < s->task.items; i++) n += s->counts[pattern * s->task.items + i] && s->wanted[i];
    return n;
}

static Int near(Search *s, Int left) {
    Int at = below(&s->rng, left), most = in_common(s, at);
    for (Int n = 0; n < LOOKS; n++) {
        Int other = below(&s->rng, left), same = in_common(s, other);
        if (same < most || (same == most && s->runs[other] >= s->runs[at])) continue;
        at = other;
        most = same;
    }
    return at;
}

static void swap_patterns(Search *s, Int a, Int b) {
    Int *one = s->counts + a * s->task.items, *other = s->counts + b * s->task.items, held = s->runs[a];
    s->runs[a] = s->runs[b];
    s->runs[b] = held;
    for (Int i = 0; i < s->task.items; i++) {
        held = one[i];
        one[i] = other[i];
        other[i] = held;
    }
}

static Int take_out(Search *s, Int many) {
    Int plates = 0;
    memset(s->wanted, 0, bytes(s, 1));
    for (Int left = s->patterns; left > s->patterns - many; left--) {
        swap_patterns(s, left == s->patterns ? below(&s->rng, left) : near(s, left), left - 1);
        const Int *counts = s->counts + (left - 1) * s->task.items;
        for (Int i = 0; i < s->task.items; i++) s->wanted[i] += s->runs[left - 1] * counts[i];
        plates += s->runs[left - 1];
    }
    return plates;
}

static int accepted(Search *s, Int kept) {
    Int longer = 0;
    for (Int n = 0; n < s->made; n++) longer += s->made_runs[n] * s->made_runs[n];
    for (Int n = kept; n < s->patterns; n++) longer -= s->runs[n] * s->runs[n];
    Int warm = s->warmest * (s->cycle - s->step) / s->cycle;
    return s->made < s->patterns - kept || longer >= 0 || (warm && longer >= -below(&s->rng, warm));
}

static void put_in(Search *s, Int kept) {
    for (Int n = 0; n < s->made; n++) {
        const Int *counts = s->made_counts + n * s->task.items;
        Int at = 0;
        while (at < kept && memcmp(s->counts + at * s->task.items, counts, bytes(s, 1)) != 0) at++;
        if (at < kept) {
            s->runs[at] += s->made_runs[n];
        } else {
            memcpy(s->counts + kept * s->task.items, counts, bytes(s, 1));
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
    Int many = 2 + below(&s->rng, smaller(s->patterns, MOST_TAKEN) - 1);
    Int plates = take_out(s, many);
    if (rebuilt(s, plates, many) && accepted(s, s->patterns - many)) {
        put_in(s, s->patterns - many);
        if (s->patterns < s->best_patterns) keep_best(s);
    }
    s->step++;
}

/* ---- what Python calls ---- */

PUBLIC void pattern_reduction_free(Search *s) {
    if (!s) return;
    void *owned[] = {s->runs,        s->counts, s->best_runs, s->best_counts, s->made_runs,
                     s->made_counts, s->wanted, s->entries,   s->rows};
    for (size_t n = 0; n < sizeof owned / sizeof *owned; n++) memory_free(owned[n]);
    memory_free(s);
}

/* All the room that the search will ever need. No total is above the capacity, so the rows of `reach` are no longer. */
static int furnished(Search *s) {
    Int places = s->patterns + 2, items = s->task.items, words = (s->task.capacity >> 6) + 1;
    Int **runs[] = {&s->runs, &s->best_runs, &s->made_runs};
    Int **counts[] = {&s->counts, &s->best_counts, &s->made_counts};
    for (int n = 0; n < 3; n++) {
        *runs[n] = memory_new(places, sizeof(Int));
        *counts[n] = memory_new(places * items, sizeof(Int));
        if (!*runs[n] || !*counts[n]) return 0;
    }
    s->wanted = memory_new(items, sizeof(Int));
    s->entries = memory_new(items, sizeof(Entry));
    s->rows = memory_more(NULL, words * (items + 1), sizeof(uint64_t));
    return s->wanted && s->entries && s->rows;
}

/* runs: of each pattern; counts: for each pattern the numbers of all items. NULL = memory was refused. */
PUBLIC Search *pattern_reduction_new(const Task *task, Int patterns, const Int *runs, const Int *counts, Int warmest,
                                     uint64_t seed) {
    Search *s = memory_new(1, sizeof(Search));
    if (!s) return NULL;
    s->task = *task;
    s->patterns = patterns;
    s->warmest = warmest;
    s->rng.state = seed;
    s->cycle = FIRST_CYCLE;
    if (!furnished(s)) {
        pattern_reduction_free(s);
        return NULL;
    }
    for (Int i = 0; i < task->items; i++) s->most_over = larger(s->most_over, task->over[i]);
    memcpy(s->runs, runs, sizeof(Int) * (size_t)patterns);
    memcpy(s->counts, counts, bytes(s, patterns));
    keep_best(s);
    return s;
}

/* Steps done: fewer than asked once one pattern is left. */
PUBLIC Int pattern_reduction_run(Search *s, Int steps) {
    Int done = 0;
    for (; done < steps && s->patterns > 1; done++) step(s);
    return done;
}

PUBLIC Int pattern_reduction_patterns(const Search *s) { return s->best_patterns; }

/* The runs of the best patterns, and for each its numbers of all items. */
PUBLIC void pattern_reduction_found(const Search *s, Int *runs, Int *counts) {
    memcpy(runs, s->best_runs, sizeof(Int) * (size_t)s->best_patterns);
    memcpy(counts, s->best_counts, bytes(s, s->best_patterns));
}
