/* Order of jobs with precedence: chains of exchanges, and kicks where none is left; a bound; the exact method.

   The compiled twin of search.py, bound.py and exact.py in sequence/sop/: the same steps on the same numbers with the
   same chance, for speed alone. Read those files first; names are the same there. A change in one is a change in both,
   and tests/sequence/sop/test_sop.py compares them.

   C99, whole numbers of 64 bits. Arrays that Python hands over stay its own, and are kept as long as they are used. */

#include "kernel.h"
#include "rng.h"

enum { LEVELS = 128, KINDS = 2, CHANCES = 1024, LOOKS = 8, LONGEST_CHAIN = 30, SWAPS = 2, TRIES = 20 };

enum { NONE = -1 };

/* Lists of jobs, one for each job: those of j are of[from[j]] .. of[from[j + 1] - 1]. */
typedef struct {
    const Int *from, *of;
} Lists;

/* What the search needs to know of jobs, and how it is set. cost: (jobs + 1) squared, the last row and column are start
   and end; warmths by kind of cycle, luck by chance, least by job. */
typedef struct {
    Int jobs, reach, first_cycle, turns;
    const Int *cost, *warmths, *luck, *least;
    Lists above, below, good_before, good_after;
} SearchInput;

/* The blocks after place x, up to y, and after y, up to z, change places; y = x or z: what is after x, up to z, is
   turned. gain: what the chain saves with it; open: before the last arc is paid, which goes from the job `tail`. */
typedef struct {
    Int x, y, z, tail, gain, open;
} Move;

typedef struct {
    Move move;
    Int ends[6];
} Made;

typedef struct {
    SearchInput input;
    Rng rng;
    Int jobs, cycle, kind, over;      /* over: in 256ths, a job */
    Int *row, *at, now;               /* places 1 .. jobs, the door at 0 and jobs + 1 */
    Int *kept, kept_cost, low, high;  /* the order before the kick; places changed since */
    Int *best_row, best;
    Int *held, *queue, *asked, head, waiting;
    Int *fixed, mark;                 /* jobs that the chain has put after another bear its mark */
    Int looks, until, begun;
} Search;

static Int cost(const Search *s, Int one, Int next) { return s->input.cost[one * (s->jobs + 1) + next]; }

/* ---- what precedence allows ---- */

static int one_within(const Search *s, const Lists *some, Int job, Int first, Int last) {
    for (Int n = some->from[job]; n < some->from[job + 1]; n++) {
        Int place = s->at[some->of[n]];
        if (first <= place && place <= last) return 1;
    }
    return 0;
}

static int exchangeable(Search *s, Int x, Int y, Int z) {
    if (y - x < z - y) {
        for (Int p = y; p > x; p--, s->looks++)
            if (one_within(s, &s->input.below, s->row[p], y + 1, z)) return 0;
    } else
        for (Int p = y + 1; p <= z; p++, s->looks++)
            if (one_within(s, &s->input.above, s->row[p], x + 1, y)) return 0;
    return 1;
}

static int turnable(Search *s, Int x, Int z) {
    for (Int p = x + 1; p < z; p++, s->looks++)
        if (one_within(s, &s->input.below, s->row[p], p + 1, z)) return 0;
    return 1;
}

/* ---- a move ---- */

static void turn(Search *s, Int low, Int high) {
    for (; low < high; low++, high--) {
        Int held = s->row[low];
        s->row[low] = s->row[high];
        s->row[high] = held;
    }
}

static void exchange(Search *s, Int x, Int y, Int z) {
    Int one = y - x, two = z - y, *first = s->row + x + 1;
    if (one < two) {
        memcpy(s->held, first, sizeof(Int) * (size_t)one);
        memmove(first, first + one, sizeof(Int) * (size_t)two);
        memcpy(first + two, s->held, sizeof(Int) * (size_t)one);
    } else {
        memcpy(s->held, first + one, sizeof(Int) * (size_t)two);
        memmove(first + two, first, sizeof(Int) * (size_t)one);
        memcpy(first, s->held, sizeof(Int) * (size_t)two);
    }
}

static void done(Search *s, Int x, Int y, Int z) {
    if (y == x || y == z)
        turn(s, x + 1, z);
    else
        exchange(s, x, y, z);
    for (Int p = x + 1; p <= z; p++) s->at[s->row[p]] = p;
    if (x + 1 < s->low) s->low = x + 1;
    if (z > s->high) s->high = z;
}

/* The jobs at both ends of the new arcs. */
static void ends(const Search *s, const Move *m, Int *found) {
    Int heads[3] = {m->x + 1, m->x + 1 + m->z - m->y, m->z + 1};
    for (int k = 0; k < 3; k++) {
        found[2 * k] = s->row[heads[k] - 1];
        found[2 * k + 1] = s->row[heads[k]];
    }
}

static void ask(Search *s, const Int *some) {
    for (int k = 0; k < 6; k++) {
        if (s->asked[some[k]]) continue;
        s->asked[some[k]] = 1;
        s->queue[(s->head + s->waiting++) % (s->jobs + 1)] = some[k];
    }
}

/* ---- a chain ---- */

static int better(const Move *best, Int open, Int gain) {
    return gain > 0 ? gain > best->gain : best->gain <= 0 && open > best->open;
}

static void look_at_exchange(Search *s, Move *best, Int one, Int two, Int three, Int free) {
    const Int *row = s->row;
    Int other = row[three + 1], x = one, y = two, z = three;
    s->looks++;
    if (s->fixed[other] == s->mark || (one < two) + (two < three) + (three < one) != 2) return;
    Int open = free - cost(s, row[two], other) + cost(s, row[three], other);
    Int gain = open - cost(s, row[three], row[one + 1]);
    if (!better(best, open, gain)) return;
    if (three < one && two < three) x = two, y = three, z = one;
    if (three < one && one < two) x = three, y = one, z = two;
    if (exchangeable(s, x, y, z)) *best = (Move){x, y, z, row[three], gain, open};
}

static void look_at_turn(Search *s, Move *best, Int one, Int high, Int free) {
    const Int *row = s->row;
    if (high <= one || s->fixed[row[high + 1]] == s->mark) return;
    for (Int p = one + 1; p < high; p++, s->looks++) free += cost(s, row[p], row[p + 1]) - cost(s, row[p + 1], row[p]);
    Int open = free + cost(s, row[high], row[high + 1]), gain = open - cost(s, row[one + 1], row[high + 1]);
    if (better(best, open, gain) && turnable(s, one, high)) *best = (Move){one, one, high, row[one + 1], gain, open};
}

static Move best_move(Search *s, Int tail, Int gained) {
    Int one = s->at[tail], head = s->row[one + 1], free = gained + cost(s, tail, head);
    const Lists *good = &s->input.good_after, *into = &s->input.good_before;
    Move best = {NONE, 0, 0, 0, 0, 0};
    for (Int n = good->from[tail]; n < good->from[tail + 1] && best.gain <= 0; n++) {
        Int next = good->of[n], left = free - cost(s, tail, next), two = s->at[next] - 1, last = s->row[two];
        s->looks++;
        if (left <= 0) break;
        if (next == head || s->fixed[next] == s->mark) continue;
        Int more = left + cost(s, last, next);
        for (Int k = good->from[last]; k < good->from[last + 1] && cost(s, last, good->of[k]) < more; k++)
            look_at_exchange(s, &best, one, two, s->at[good->of[k]] - 1, more);
        for (Int k = into->from[head]; k < into->from[head + 1]; k++)
            look_at_exchange(s, &best, one, two, s->at[into->of[k]], more);
        if (s->input.turns) look_at_turn(s, &best, one, two + 1, left);
    }
    return best;
}

static void undo(Search *s, const Move *m) { done(s, m->x, m->x + m->z - m->y, m->z); }

static int chained(Search *s, Int tail) {
    Made made[LONGEST_CHAIN];
    int many = 0, best_many = 0;
    Int gained = 0, best = 0;
    s->mark++;
    while (many < LONGEST_CHAIN) {
        Made *last = made + many;
        last->move = best_move(s, tail, gained);
        if (last->move.x < 0) break;
        done(s, last->move.x, last->move.y, last->move.z);
        ends(s, &last->move, last->ends);
        tail = last->move.tail;
        gained = last->move.gain;
        for (int k = 0; k < 6; k += 2)
            if (last->ends[k] != tail) s->fixed[last->ends[k + 1]] = s->mark;
        many++;
        if (gained > best) {
            best = gained;
            best_many = many;
        }
    }
    while (many > best_many) undo(s, &made[--many].move);
    for (int k = 0; k < many; k++) ask(s, made[k].ends);
    s->now -= best;
    return many > 0;
}

/* ---- a step ---- */

static Int over(const Search *s) {
    const Int *row = s->best_row;
    Int sum = 0;
    for (Int p = 1; p <= s->jobs; p++) sum += cost(s, row[p - 1], row[p]) - s->input.least[row[p]];
    return 256 * sum / s->jobs;
}

static void back_to(Search *s, const Int *row, Int value, Int low, Int high) {
    memmove(s->row + low, row + low, sizeof(Int) * (size_t)(high - low + 1));
    for (Int p = low; p <= high; p++) s->at[s->row[p]] = p;
    s->now = value;
}

static void keep(Search *s, Int low, Int high) {
    memcpy(s->kept + low, s->row + low, sizeof(Int) * (size_t)(high - low + 1));
    s->kept_cost = s->now;
}

static void serve(Search *s) {
    Int job = s->queue[s->head];
    s->head = (s->head + 1) % (s->jobs + 1);
    s->waiting--;
    s->asked[job] = 0;
    while (chained(s, job)) continue;
    if (s->now >= s->best) return;
    s->best = s->now;
    memcpy(s->best_row, s->row, sizeof(Int) * (size_t)(s->jobs + 2));
}

static void judge(Search *s) {
    Int more = s->now - s->kept_cost, level = LEVELS - (s->looks - s->begun) * LEVELS / s->cycle;
    Int warm = s->over * s->input.warmths[s->kind] / 256 * (level > 0 ? level : 0) / LEVELS;
    Int low = s->low, high = s->high;
    s->low = s->jobs + 1;
    s->high = 0;
    if (low > high) return;
    if (more > 0 && more * 65536 > warm * s->input.luck[below(&s->rng, CHANCES)])
        back_to(s, s->kept, s->kept_cost, low, high);
    else
        keep(s, low, high);
}

static void next_cycle(Search *s) {
    s->begun = s->looks;
    s->kind = (s->kind + 1) % KINDS;
    if (!s->kind) s->cycle *= 2;
    back_to(s, s->best_row, s->best, 1, s->jobs);
    keep(s, 1, s->jobs);
    s->over = over(s);
}

static void kick(Search *s) {
    Int reach = s->input.reach, first = below(&s->rng, s->jobs - reach + 1);
    for (int tries = 0, swaps = 0; tries < TRIES && swaps < SWAPS; tries++) {
        Int x = first + below(&s->rng, reach + 1), y = first + below(&s->rng, reach + 1);
        Int z = first + below(&s->rng, reach + 1), held;
        if (x > y) held = x, x = y, y = held;
        if (y > z) held = y, y = z, z = held;
        if (x > y) held = x, x = y, y = held;
        s->looks++;
        if (x == y || y == z || !exchangeable(s, x, y, z)) continue;
        Int before[6], made[6];
        Move move = {x, y, z, 0, 0, 0};
        ends(s, &(Move){x, x + z - y, z, 0, 0, 0}, before);
        done(s, x, y, z);
        ends(s, &move, made);
        for (int k = 0; k < 6; k += 2) s->now += cost(s, made[k], made[k + 1]) - cost(s, before[k], before[k + 1]);
        ask(s, made);
        swaps++;
    }
}

static void one_step(Search *s) {
    if (s->waiting) {
        serve(s);
        return;
    }
    judge(s);
    if (s->looks - s->begun >= s->cycle) next_cycle(s);
    kick(s);
}

/* ---- the way in and out ---- */

PUBLIC void sop_search_free(Search *s) {
    if (!s) return;
    memory_free(s->row);
    memory_free(s);
}

static void begin(Search *s) {
    for (Int p = 0; p <= s->jobs; p++) s->queue[p] = s->row[p];
    for (Int p = 0; p <= s->jobs; p++) s->asked[p] = 1;
    for (Int p = 0; p <= s->jobs; p++) s->at[s->row[p]] = p;
    s->waiting = s->jobs + 1;
    s->now = s->kept_cost = s->best;
    s->low = s->jobs + 1;
    s->over = over(s);
}

/* row: a legal order with the door at both ends, of cost `value`. NULL = memory was refused. */
PUBLIC Search *sop_search_new(const SearchInput *input, const Int *row, Int value, uint64_t seed) {
    Int wide = input->jobs + 2, *room = memory_new(8 * wide, sizeof(Int));
    Search *s = memory_new(1, sizeof(Search));
    if (!s || !room) {
        memory_free(room);
        memory_free(s);
        return NULL;
    }
    s->input = *input;
    s->jobs = input->jobs;
    s->cycle = input->first_cycle;
    s->best = value;
    s->rng.state = seed;
    Int **rooms[] = {&s->row, &s->best_row, &s->kept, &s->at, &s->held, &s->queue, &s->asked, &s->fixed};
    for (int k = 0; k < 8; k++) *rooms[k] = room + k * wide;
    for (int k = 0; k < 3; k++) memcpy(*rooms[k], row, sizeof(Int) * (size_t)wide);
    begin(s);
    return s;
}

PUBLIC void sop_search_run(Search *s, Int steps) {
    s->until += LOOKS * steps;
    while (s->looks < s->until) one_step(s);
}

/* The least cost met, and its row of jobs. */
PUBLIC Int sop_search_best(const Search *s, Int *row) {
    memcpy(row, s->best_row + 1, sizeof(Int) * (size_t)s->jobs);
    return s->best;
}

/* ---- the bound: walks of as many jobs as there are, each in its window of places (bound.py) ---- */

#define NEVER ((Int)1 << 60)

/* cost: (jobs + 1) squared; follow: those that may come straight after each job, the door last; low, high: by job, its
   window of places. */
typedef struct {
    Int jobs;
    const Int *cost;
    Lists follow;
    const Int *low, *high;
} WalkInput;

/* gift: by job; walk: jobs; rest, second, then: (jobs + 1) squared. rest[p][i] = least cost of what follows job i at
   place p. Least cost of a walk. */
PUBLIC Int sop_walk(const WalkInput *input, const Int *gift, Int *rest, Int *second, Int *then, Int *walk) {
    const Int jobs = input->jobs, *cost = input->cost, *from = input->follow.from, *of = input->follow.of;
    const Int *low = input->low, *high = input->high;
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

/* ---- the exact method: sets of jobs done with the last of them, layer by layer (exact.py) ---- */

typedef struct {
    Int value, at;          /* at: the state's number among all */
    uint64_t done[];
} State;

/* words: numbers of 64 bits to a set. States of no less than `limit` are left out; most: states at the most. follow:
   those that may come straight after each job; gift, rest: of the bound; before: sets of jobs, by job. */
typedef struct {
    Int jobs, words, limit, most;
    const Int *cost;
    Lists follow;
    const Int *gift, *rest;
    const uint64_t *before;
} ExactInput;

typedef struct {
    ExactInput input;
    Int place;
    Int states, layer, next;              /* of all; of the layer; of the layer to come */
    int32_t *parent, *last, *slots;
    Int slot_count;
    char *now, *then;
    Int room_now, room_then;
} Exact;

static size_t state_bytes(const Exact *e) { return sizeof(State) + 8 * (size_t)e->input.words; }

static State *state(const Exact *e, char *some, Int n) { return (State *)(some + state_bytes(e) * (size_t)n); }

static uint64_t mixed(const Exact *e, const uint64_t *done, Int last) {
    uint64_t z = (uint64_t)last * 0x9E3779B97F4A7C15ULL;
    for (Int w = 0; w < e->input.words; w++) {
        z ^= done[w];
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z ^= z >> 27;
    }
    return z ^ (z >> 31);
}

PUBLIC void sop_exact_free(Exact *e) {
    if (!e) return;
    memory_free(e->parent);
    memory_free(e->last);
    memory_free(e->slots);
    memory_free(e->now);
    memory_free(e->then);
    memory_free(e);
}

/* NULL = memory was refused. */
PUBLIC Exact *sop_exact_new(const ExactInput *input) {
    Exact *e = memory_new(1, sizeof(Exact));
    if (!e) return NULL;
    e->input = *input;
    e->parent = memory_more(NULL, input->most + 1, sizeof(int32_t));
    e->last = memory_more(NULL, input->most + 1, sizeof(int32_t));
    e->now = memory_new(1, state_bytes(e));
    if (!e->parent || !e->last || !e->now) {
        sop_exact_free(e);
        return NULL;
    }
    e->parent[0] = NONE;
    e->last[0] = (int32_t)input->jobs;
    e->states = e->layer = e->room_now = 1;
    return e;
}

static int more_slots(Exact *e) {
    Int count = e->slot_count ? 2 * e->slot_count : 1024;
    int32_t *made = memory_more(NULL, count, sizeof(int32_t));
    if (!made) return 0;
    memset(made, 0xFF, sizeof(int32_t) * (size_t)count);
    for (Int n = 0; n < e->next; n++) {
        State *s = state(e, e->then, n);
        uint64_t h = mixed(e, s->done, e->last[s->at]) & (uint64_t)(count - 1);
        while (made[h] >= 0) h = (h + 1) & (uint64_t)(count - 1);
        made[h] = (int32_t)n;
    }
    memory_free(e->slots);
    e->slots = made;
    e->slot_count = count;
    return 1;
}

/* 1 = kept or known, 0 = no more room */
static int reach(Exact *e, const State *s, Int j, Int value, uint64_t *done) {
    memcpy(done, s->done, 8 * (size_t)e->input.words);
    done[j >> 6] |= 1ULL << (j & 63);
    if (2 * (e->next + 1) > e->slot_count && !more_slots(e)) return 0;
    uint64_t mask = (uint64_t)(e->slot_count - 1), h = mixed(e, done, j) & mask;
    for (; e->slots[h] >= 0; h = (h + 1) & mask) {
        State *t = state(e, e->then, e->slots[h]);
        if (e->last[t->at] != j || memcmp(t->done, done, 8 * (size_t)e->input.words)) continue;
        if (value < t->value) {
            t->value = value;
            e->parent[t->at] = (int32_t)s->at;
        }
        return 1;
    }
    if (e->states >= e->input.most) return 0;
    if (e->next == e->room_then) {
        Int room = e->room_then ? e->room_then + e->room_then / 2 + 1 : 256;
        char *made = memory_more(e->then, room, state_bytes(e));
        if (!made) return 0;
        e->then = made;
        e->room_then = room;
    }
    State *t = state(e, e->then, e->next);
    memcpy(t->done, done, 8 * (size_t)e->input.words);
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
PUBLIC Int sop_exact_layer(Exact *e) {
    uint64_t done[64];
    const ExactInput *in = &e->input;
    Int wide = in->jobs + 1;
    e->next = 0;
    if (e->slots) memset(e->slots, 0xFF, sizeof(int32_t) * (size_t)e->slot_count);
    for (Int n = 0; n < e->layer; n++) {
        State *s = state(e, e->now, n);
        Int i = e->last[s->at];
        for (Int k = in->follow.from[i]; k < in->follow.from[i + 1]; k++) {
            Int j = in->follow.of[k], missing = (Int)(s->done[j >> 6] >> (j & 63) & 1);
            if (missing) continue;
            Int value = s->value + in->cost[i * wide + j] - in->gift[j];
            if (value + in->rest[(e->place + 1) * wide + j] >= in->limit) continue;
            const uint64_t *before = in->before + j * in->words;
            for (Int w = 0; w < in->words && !missing; w++) missing = (before[w] & ~s->done[w]) != 0;
            if (!missing && !reach(e, s, j, value, done)) return NO_MEMORY;
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
PUBLIC Int sop_exact_least(const Exact *e, Int *row) {
    Int best = NEVER, which = NONE, wide = e->input.jobs + 1;
    for (Int n = 0; n < e->layer; n++) {
        State *s = state(e, e->now, n);
        Int value = s->value + e->input.rest[e->place * wide + e->last[s->at]];
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
