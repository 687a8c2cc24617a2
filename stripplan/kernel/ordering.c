/* Order of jobs with precedence: blocks moved within their windows, kept by simulated annealing.

   The compiled twin of sequence/ordering/search.py: the same steps on the same numbers with the same chance, for speed
   alone. Read that file first; names are the same there. A change in one is a change in both, and
   tests/sequence/test_ordering.py compares them.

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

enum { LEVELS = 128, KINDS = 3, CHANCES = 1024, FREE_PLACE = 25, BY_HEAD = 63 };

/* Lists of jobs, one for each job: those of j are of[from[j]] .. of[from[j + 1] - 1]. */
typedef struct {
    Int *from, *of;
} Lists;

typedef struct {
    Int jobs, longest, cycle, step, kind;
    uint64_t chance;
    Int *cost;                            /* (jobs + 1) squared; the last row and column are start and end */
    Int *warmth, *luck, *least, over;     /* by level; by chance; by job; in 256ths, a job */
    Lists before, after, good_before, good_after;
    Int *row, *at, *held, now;            /* places 1 .. jobs, the door at 0 and jobs + 1 */
    Int *best_row, best;
    Int *numbers;
} Search;

static Int below(Search *s, Int n) {
    uint64_t z = (s->chance += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return (Int)((z ^ (z >> 31)) >> 33) % n;
}

static Int cost(const Search *s, Int one, Int next) { return s->cost[one * (s->jobs + 1) + next]; }

/* ---- the window of a block ---- */

static Int lowest(const Search *s, Int a, Int b) {
    Int place = 0;
    for (Int p = a; p <= b; p++) {
        Int job = s->row[p];
        for (Int n = s->before.from[job]; n < s->before.from[job + 1]; n++) {
            Int other = s->at[s->before.of[n]];
            if (other < a && other > place) place = other;
        }
    }
    return place;
}

static Int highest(const Search *s, Int a, Int b) {
    Int place = s->jobs + 1;
    for (Int p = a; p <= b; p++) {
        Int job = s->row[p];
        for (Int n = s->after.from[job]; n < s->after.from[job + 1]; n++) {
            Int other = s->at[s->after.of[n]];
            if (other > b && other < place) place = other;
        }
    }
    return place - 1;
}

static Int free_place(Search *s, Int a, Int b) {
    Int low = lowest(s, a, b), room = a - 1 - low + highest(s, a, b) - b;
    if (!room) return -1;
    Int q = low + below(s, room);
    return q < a - 1 ? q : q + b - a + 2;
}

static Int good_place(Search *s, const Lists *good, Int job) {
    Int many = good->from[job + 1] - good->from[job];
    return many ? s->at[good->of[good->from[job] + below(s, many)]] : -1;
}

static Int place(Search *s, Int a, Int b) {
    Int how = below(s, 100), q;
    if (how < FREE_PLACE) return free_place(s, a, b);
    q = how < BY_HEAD ? good_place(s, &s->good_before, s->row[a]) : good_place(s, &s->good_after, s->row[b]) - 1;
    if (q < 0 || (q >= a - 1 && q <= b)) return -1;
    if (q < a ? lowest(s, a, b) > q : highest(s, a, b) < q) return -1;
    return q;
}

/* ---- a step ---- */

static Int dearer(const Search *s, Int a, Int b, Int q) {
    const Int *row = s->row;
    return cost(s, row[q], row[a]) + cost(s, row[b], row[q + 1]) + cost(s, row[a - 1], row[b + 1]) - cost(s, row[q], row[q + 1]) -
           cost(s, row[a - 1], row[a]) - cost(s, row[b], row[b + 1]);
}

static void moved(Search *s, Int a, Int b, Int q) {
    Int low = q < a ? q + 1 : a, high = q < a ? b : q, many = b - a + 1;
    memcpy(s->held, s->row + a, sizeof(Int) * (size_t)many);
    if (q < a) {
        memmove(s->row + q + 1 + many, s->row + q + 1, sizeof(Int) * (size_t)(a - 1 - q));
        memcpy(s->row + q + 1, s->held, sizeof(Int) * (size_t)many);
    } else {
        memmove(s->row + a, s->row + b + 1, sizeof(Int) * (size_t)(q - b));
        memcpy(s->row + q - many + 1, s->held, sizeof(Int) * (size_t)many);
    }
    for (Int p = low; p <= high; p++) s->at[s->row[p]] = p;
}

static Int over(const Search *s) {
    Int sum = 0;
    for (Int p = 1; p <= s->jobs; p++) sum += cost(s, s->best_row[p - 1], s->best_row[p]) - s->least[s->best_row[p]];
    return 256 * sum / s->jobs;
}

static void from_best(Search *s) {
    memcpy(s->row, s->best_row, sizeof(Int) * (size_t)(s->jobs + 2));
    for (Int p = 0; p <= s->jobs; p++) s->at[s->row[p]] = p;
    s->now = s->best;
    s->over = over(s);
}

static void one_step(Search *s) {
    if (s->step == s->cycle) {
        s->step = 0;
        s->kind = (s->kind + 1) % KINDS;
        if (!s->kind) s->cycle *= 2;
        from_best(s);
    }
    Int warmth = s->over * s->warmth[s->kind * LEVELS + s->step * LEVELS / s->cycle] / 65536;
    s->step++;
    Int a = 1 + below(s, s->jobs);
    Int b = a + below(s, 1 + below(s, s->longest));
    if (b > s->jobs) b = s->jobs;
    Int q = place(s, a, b);
    if (q < 0) return;
    Int more = dearer(s, a, b, q);
    if (more > 0 && more * 65536 > warmth * s->luck[below(s, CHANCES)]) return;
    moved(s, a, b, q);
    s->now += more;
    if (s->now < s->best) {
        s->best = s->now;
        memcpy(s->best_row, s->row, sizeof(Int) * (size_t)(s->jobs + 2));
    }
}

/* ---- the way in and out ---- */

static const Int *lists(Lists *made, Int jobs, Int *numbers) {
    made->from = numbers;
    made->of = numbers + jobs + 1;
    return made->of + made->from[jobs];
}

PUBLIC void ordering_free(Search *s) {
    if (!s) return;
    free(s->numbers);
    free(s->row);
    free(s);
}

/* given: jobs, longest, first cycle, cost of the row, cost, warmth, luck, least, the row with the door at both ends, four lists */
PUBLIC Search *ordering_new(const Int *given, Int many, uint64_t seed) {
    Search *s = calloc(1, sizeof(Search));
    if (!s) return NULL;
    s->jobs = given[0];
    s->longest = given[1];
    s->cycle = given[2];
    s->now = s->best = given[3];
    s->chance = seed;
    s->numbers = malloc(sizeof(Int) * (size_t)many);
    s->row = malloc(sizeof(Int) * (size_t)(4 * (s->jobs + 2)));
    if (!s->numbers || !s->row) {
        ordering_free(s);
        return NULL;
    }
    memcpy(s->numbers, given, sizeof(Int) * (size_t)many);
    s->best_row = s->row + s->jobs + 2;
    s->at = s->best_row + s->jobs + 2;
    s->held = s->at + s->jobs + 2;
    s->cost = s->numbers + 4;
    s->warmth = s->cost + (s->jobs + 1) * (s->jobs + 1);
    s->luck = s->warmth + KINDS * LEVELS;
    s->least = s->luck + CHANCES;
    memcpy(s->best_row, s->least + s->jobs, sizeof(Int) * (size_t)(s->jobs + 2));
    Int *next = s->least + s->jobs + s->jobs + 2;
    next = (Int *)lists(&s->before, s->jobs, next);
    next = (Int *)lists(&s->after, s->jobs, next);
    next = (Int *)lists(&s->good_before, s->jobs, next);
    lists(&s->good_after, s->jobs, next);
    from_best(s);
    return s;
}

PUBLIC void ordering_run(Search *s, Int steps) {
    for (Int n = 0; n < steps; n++) one_step(s);
}

/* The least cost met, and its row of jobs. */
PUBLIC Int ordering_best(const Search *s, Int *row) {
    memcpy(row, s->best_row + 1, sizeof(Int) * (size_t)s->jobs);
    return s->best;
}

/* ---- the bound: walks of as many jobs as there are, each in its window of places (sequence/ordering/bound.py) ---- */

enum { NONE = -1 };
#define NEVER ((Int)1 << 60)

/* cost, rest, second: (jobs + 1) squared; follow: those that may come straight after each job, the door last;
   gift: by job; walk: jobs. rest[p][i] = least cost of what follows job i at place p. Least cost of a walk. */
PUBLIC Int ordering_walk(Int jobs, const Int *cost, const Int *from, const Int *of, const Int *low, const Int *high,
                         const Int *gift, Int *rest, Int *second, Int *then, Int *walk) {
    Int wide = jobs + 1;
    for (Int n = 0; n < wide * wide; n++) {
        rest[n] = second[n] = NEVER;
        then[n] = NONE;
    }
    for (Int i = 0; i < jobs; i++)
        if (high[i] == jobs) rest[jobs * wide + i] = second[jobs * wide + i] = 0;
    for (Int p = jobs - 1; p >= 0; p--)
        for (Int i = p ? 0 : jobs; i < (p ? jobs : wide); i++) {
            if (p && (p < low[i] || p > high[i])) continue;
            Int at = p * wide + i;
            for (Int n = from[i]; n < from[i + 1]; n++) {
                Int j = of[n], next = (p + 1) * wide + j;
                if (p + 1 < low[j] || p + 1 > high[j]) continue;
                Int value = then[next] == i ? second[next] : rest[next];
                if (value >= NEVER) continue;
                value += cost[i * wide + j] - gift[j];
                if (value < rest[at]) {
                    second[at] = rest[at];
                    rest[at] = value;
                    then[at] = j;
                } else if (value < second[at])
                    second[at] = value;
            }
        }
    Int value = rest[jobs], job = jobs, previous = NONE;
    if (value >= NEVER) return value;
    for (Int p = 0; p < jobs; p++) {
        Int at = p * wide + job, next = then[at];
        if (next == previous) { /* the second best: looked up again, the first that gives its value */
            for (Int n = from[job]; n < from[job + 1]; n++) {
                Int j = of[n], there = (p + 1) * wide + j;
                if (j == previous || p + 1 < low[j] || p + 1 > high[j]) continue;
                Int more = then[there] == job ? second[there] : rest[there];
                if (more < NEVER && more + cost[job * wide + j] - gift[j] == second[at]) {
                    next = j;
                    break;
                }
            }
        }
        walk[p] = next;
        previous = job;
        job = next;
    }
    return value;
}

/* ---- the exact method: sets of jobs done with the last of them, layer by layer (sequence/ordering/exact.py) ---- */

typedef struct {
    Int value, at;          /* at: the state's number among all */
    uint64_t done[];
} State;

typedef struct {
    Int jobs, words, limit, most, place;
    const Int *cost, *from, *of, *gift, *rest;
    const uint64_t *before;
    Int states, layer, next;              /* of all; of the layer; of the layer to come */
    int32_t *parent, *last, *slots;
    Int slot_count;
    char *now, *then;
    Int room_now, room_then;
} Exact;

static size_t state_bytes(const Exact *e) { return sizeof(State) + 8 * (size_t)e->words; }

static State *state(const Exact *e, char *some, Int n) { return (State *)(some + state_bytes(e) * (size_t)n); }

static uint64_t mixed(const Exact *e, const uint64_t *done, Int last) {
    uint64_t z = (uint64_t)last * 0x9E3779B97F4A7C15ULL;
    for (Int w = 0; w < e->words; w++) {
        z ^= done[w];
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z ^= z >> 27;
    }
    return z ^ (z >> 31);
}

PUBLIC void ordering_exact_free(Exact *e) {
    if (!e) return;
    free(e->parent);
    free(e->last);
    free(e->slots);
    free(e->now);
    free(e->then);
    free(e);
}

/* limit: states of no less than this value are left out. most: states at the most. The arrays stay the caller's. */
PUBLIC Exact *ordering_exact_new(Int jobs, Int words, Int limit, Int most, const Int *cost, const Int *from, const Int *of,
                                 const Int *gift, const Int *rest, const uint64_t *before) {
    Exact *e = calloc(1, sizeof(Exact));
    if (!e) return NULL;
    e->jobs = jobs;
    e->words = words;
    e->limit = limit;
    e->most = most;
    e->cost = cost;
    e->from = from;
    e->of = of;
    e->gift = gift;
    e->rest = rest;
    e->before = before;
    e->parent = malloc(sizeof(int32_t) * (size_t)(most + 1));
    e->last = malloc(sizeof(int32_t) * (size_t)(most + 1));
    e->now = calloc(1, state_bytes(e));
    if (!e->parent || !e->last || !e->now) {
        ordering_exact_free(e);
        return NULL;
    }
    e->parent[0] = NONE;
    e->last[0] = (int32_t)jobs;
    e->states = e->layer = e->room_now = 1;
    return e;
}

static int more_slots(Exact *e) {
    Int count = e->slot_count ? 2 * e->slot_count : 1024;
    int32_t *made = malloc(sizeof(int32_t) * (size_t)count);
    if (!made) return 0;
    memset(made, 0xFF, sizeof(int32_t) * (size_t)count);
    for (Int n = 0; n < e->next; n++) {
        State *s = state(e, e->then, n);
        uint64_t h = mixed(e, s->done, e->last[s->at]) & (uint64_t)(count - 1);
        while (made[h] >= 0) h = (h + 1) & (uint64_t)(count - 1);
        made[h] = (int32_t)n;
    }
    free(e->slots);
    e->slots = made;
    e->slot_count = count;
    return 1;
}

/* 1 = kept or known, 0 = no more room */
static int reach(Exact *e, const State *s, Int j, Int value, uint64_t *done) {
    memcpy(done, s->done, 8 * (size_t)e->words);
    done[j >> 6] |= 1ULL << (j & 63);
    if (2 * (e->next + 1) > e->slot_count && !more_slots(e)) return 0;
    uint64_t mask = (uint64_t)(e->slot_count - 1), h = mixed(e, done, j) & mask;
    for (; e->slots[h] >= 0; h = (h + 1) & mask) {
        State *t = state(e, e->then, e->slots[h]);
        if (e->last[t->at] != j || memcmp(t->done, done, 8 * (size_t)e->words)) continue;
        if (value < t->value) {
            t->value = value;
            e->parent[t->at] = (int32_t)s->at;
        }
        return 1;
    }
    if (e->states >= e->most) return 0;
    if (e->next == e->room_then) {
        Int room = e->room_then ? e->room_then + e->room_then / 2 + 1 : 256;
        char *made = realloc(e->then, state_bytes(e) * (size_t)room);
        if (!made) return 0;
        e->then = made;
        e->room_then = room;
    }
    State *t = state(e, e->then, e->next);
    memcpy(t->done, done, 8 * (size_t)e->words);
    t->value = value;
    t->at = e->states;
    e->parent[t->at] = (int32_t)s->at;
    e->last[t->at] = (int32_t)j;
    e->slots[h] = (int32_t)e->next;
    e->states++;
    e->next++;
    return 1;
}

/* One place further. The states of the layer made; -1 = no more room, and the layer is as it was before. */
PUBLIC Int ordering_exact_layer(Exact *e) {
    uint64_t done[64];
    Int wide = e->jobs + 1;
    e->next = 0;
    if (e->slots) memset(e->slots, 0xFF, sizeof(int32_t) * (size_t)e->slot_count);
    for (Int n = 0; n < e->layer; n++) {
        State *s = state(e, e->now, n);
        Int i = e->last[s->at];
        for (Int k = e->from[i]; k < e->from[i + 1]; k++) {
            Int j = e->of[k], missing = (Int)(s->done[j >> 6] >> (j & 63) & 1);
            if (missing) continue;
            Int value = s->value + e->cost[i * wide + j] - e->gift[j];
            if (value + e->rest[(e->place + 1) * wide + j] >= e->limit) continue;
            for (Int w = 0; w < e->words && !missing; w++) missing = (e->before[j * e->words + w] & ~s->done[w]) != 0;
            if (!missing && !reach(e, s, j, value, done)) return -1;
        }
    }
    char *held = e->now;
    Int room = e->room_now;
    e->now = e->then;
    e->room_now = e->room_then;
    e->then = held;
    e->room_then = room;
    e->layer = e->next;
    e->place++;
    return e->layer;
}

/* The least value in the layer with what must follow at least, and the jobs of the state that has it. */
PUBLIC Int ordering_exact_least(const Exact *e, Int *row) {
    Int best = NEVER, which = NONE, wide = e->jobs + 1;
    for (Int n = 0; n < e->layer; n++) {
        State *s = state(e, e->now, n);
        Int value = s->value + e->rest[e->place * wide + e->last[s->at]];
        if (value < best) {
            best = value;
            which = s->at;
        }
    }
    for (Int p = e->place - 1; p >= 0 && which >= 0; p--) {
        row[p] = e->last[which];
        which = e->parent[which];
    }
    return best;
}
