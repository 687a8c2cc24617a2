/* A plate that holds all parts with little waste, by straight cuts.

   The compiled twin of layout/single_plate/small_waste.py, step for step: read that file first. Names are the same there,
   and tests/layout/single_plate/test_nearly_full.py compares the two.

   Memory is asked for deep within a step. Where it is refused the step is left by a jump to the function that Python
   called, which says so; all that was built still hangs on the search, and is freed with it. */

#include <setjmp.h>
#include <stdlib.h>

#include "kernel.h"

typedef uint64_t Set; /* how many of each kind, in fields side by side */

enum { MOST_PARTS = 32, BUCKETS = 40, MOST_REACH = 1 << 14, WORDS = MOST_REACH / 64 + 1 };
enum { GOING_ON, FOUND, ENDED, FULL };

/* `ways`: two sizes each, one kerf added; those of a kind from first_way[kind] on. `gap` 0 = any waste may be left. */
typedef struct {
    Int kinds, plate[2], gap, reach, most_builds, most_holes;
    const Int *copies, *area, *first_way, *ways;
} Task;

/* `size`: the least along x and y; `from`: where any size begins. `cut`: the axis along which sizes add up, of the builds
   `first` and `rest`; -1 = a part, whose kind is `first` and whose way is `rest`. */
typedef struct {
    Int size[2], from[2], area;
    Set set;
    int first, rest, next, parts, cut, dead;
} Build;

/* A hole that is being cut: what can be filled of it, and all of it; the build in hand is cut off along an axis, and
   builds come from row `at` of a bucket. */
typedef struct {
    Int size[2], whole[2], waste;
    Set set;
    int axis, bucket, at, side;
} Frame;

/* A build as a scan sees it: `key` is the size that must agree, `extent` the other. */
typedef struct {
    Int key, extent, area;
    Set set;
    int build, cut;
} Row;

typedef struct {
    Row *rows;
    int count;
} Rows;

typedef struct {
    Int size[2];
    int next;
} Hole;


/* From sets to the heads of chains, one more than the number; 0 = none. */
typedef struct {
    Set *keys;
    int *heads;
    Int room, used;
} Table;

typedef struct {
    Task task;
    jmp_buf refused; /* where to go when memory is refused */
    Int parts, slack, waste, steps;
    int place[MOST_PARTS];
    Set mask[MOST_PARTS], full, over, spare;
    Build *builds;
    Int count, builds_room;
    Table known, failed;
    Hole *holes;
    Int hole_count, holes_room;
    Rows layers[2][MOST_PARTS + 1], buckets[2][BUCKETS];
    Int layer_from;
    int layer, less, axis, swapped, row; /* where building is */
    int stage, too_many, depth, last;
    Frame frames[MOST_PARTS + 1];
    Set sums[2][WORDS];
} Search;

static void *more(Search *s, void *old, Int count, size_t size) {
    void *made = memory_more(old, count, size);
    if (!made) longjmp(s->refused, 1);
    return made;
}

/* ---- sets ---- */

static int together(const Search *s, Set one, Set other) { return !((one + other + s->spare) & s->over); }

static int within(const Search *s, Set part, Set whole) { return (((whole | s->over) - part) & s->over) == s->over; }

static Int number(const Search *s, Set set, Int kind) { return (Int)((set >> s->place[kind]) & s->mask[kind]); }

static Int area_of(const Search *s, Set set) {
    Int area = 0;
    for (Int k = 0; k < s->task.kinds; k++) area += number(s, set, k) * s->task.area[k];
    return area;
}

static Int slot(const Table *t, Set key) {
    Int at = (Int)((key * 0x9E3779B97F4A7C15ULL) >> 24) & (t->room - 1);
    while (t->heads[at] && t->keys[at] != key) at = (at + 1) & (t->room - 1);
    return at;
}

static void widen(Search *s, Table *t) {
    Table wide = {NULL, NULL, t->room ? t->room * 2 : 1024, t->used};
    wide.keys = more(s, NULL, wide.room, sizeof(Set));
    wide.heads = memory_new(wide.room, sizeof(int));
    if (!wide.heads) {
        memory_free(wide.keys);
        longjmp(s->refused, 1);
    }
    for (Int k = 0; k < t->room; k++)
        if (t->heads[k]) {
            const Int at = slot(&wide, t->keys[k]);
            wide.keys[at] = t->keys[k];
            wide.heads[at] = t->heads[k];
        }
    memory_free(t->keys);
    memory_free(t->heads);
    *t = wide;
}

/* Where the head of a set's chain stands. */
static int *head(Search *s, Table *t, Set key) {
    if (2 * t->used >= t->room) widen(s, t);
    const Int at = slot(t, key);
    if (!t->heads[at]) {
        t->keys[at] = key;
        t->used++;
    }
    return &t->heads[at];
}

static int first_of(const Table *t, Set key) { return t->room ? t->heads[slot(t, key)] - 1 : -1; }

static void emptied(Table *t) {
    if (t->room) memset(t->heads, 0, sizeof(int) * (size_t)t->room);
    t->used = 0;
}

/* ---- what cannot be completed ---- */

static void add_moved(Set *to, const Set *from, Int by, Int words) {
    const Int far = by / 64, bits = by % 64;
    for (Int w = words - 1; w >= far; w--) {
        to[w] |= from[w - far] << bits;
        if (bits && w > far) to[w] |= from[w - far - 1] >> (64 - bits);
    }
}

/* The greatest sum of sides along an axis, of parts of a set, that is no more than a size. */
static Int reached(Search *s, Set set, int axis, Int size) {
    if (size <= 0 || size >= MOST_REACH) return size;
    const Int words = size / 64 + 1;
    Set *sums = s->sums[0], *before = s->sums[1];
    memset(sums, 0, sizeof(Set) * (size_t)words);
    sums[0] = 1;
    for (Int k = 0; k < s->task.kinds; k++)
        for (Int n = number(s, set, k); n > 0; n--) {
            memcpy(before, sums, sizeof(Set) * (size_t)words);
            for (Int way = s->task.first_way[k]; way < s->task.first_way[k + 1]; way++)
                if (s->task.ways[2 * way + axis] <= size) add_moved(sums, before, s->task.ways[2 * way + axis], words);
        }
    Int top = size;
    while (top > 0 && !(sums[top / 64] >> (top % 64) & 1)) top--;
    return top;
}

static int goes(const Search *s, Int kind, Int x, Int y) {
    for (Int way = s->task.first_way[kind]; way < s->task.first_way[kind + 1]; way++)
        if (s->task.ways[2 * way] <= x && s->task.ways[2 * way + 1] <= y) return 1;
    return 0;
}

/* Whether what must lie beside a build, and what must lie beyond it, is no larger than the room there. */
static int room_for_rest(const Search *s, Set rest, Int beside, Int beyond) {
    const Int *plate = s->task.plate;
    Int must_beside = 0, must_beyond = 0;
    for (Int k = 0; k < s->task.kinds; k++) {
        const Int area = number(s, rest, k) * s->task.area[k];
        if (!area) continue;
        const int goes_beside = goes(s, k, beside, plate[1]), goes_beyond = goes(s, k, plate[0], beyond);
        if (goes_beside && goes_beyond) continue;
        if (!goes_beside && !goes_beyond) return 0;
        if (goes_beside) must_beside += area;
        else must_beyond += area;
    }
    return must_beside <= beside * plate[1] && must_beyond <= plate[0] * beyond;
}

/* Whether a plate with this build wastes too much whatever comes round it. */
static int hopeless(Search *s, const Build *b) {
    const Set rest = s->full - b->set;
    const Int beside = s->task.plate[0] - b->size[0], beyond = s->task.plate[1] - b->size[1];
    if (!room_for_rest(s, rest, beside, beyond)) return 1;
    Int waste = b->size[0] * b->size[1] - b->area;
    waste += b->size[0] * (beyond - reached(s, rest, 1, beyond));
    if (waste > s->slack) return 1;
    waste += b->size[1] * (beside - reached(s, rest, 0, beside));
    return waste > s->slack;
}

/* ---- builds ---- */

static int allowed(const Build *b, int axis, Int size) { return b->size[axis] == size || b->from[axis] <= size; }

static int stands_for(const Build *one, const Build *other) {
    for (int axis = 0; axis < 2; axis++)
        if (one->from[axis] > other->from[axis] || !allowed(one, axis, other->size[axis])) return 0;
    return 1;
}

/* Keep a build unless another of the same parts stands for it, or it cannot be completed. */
static void offer(Search *s, const Build *made) {
    int *chain = head(s, &s->known, made->set);
    for (int k = *chain; k; k = s->builds[k - 1].next)
        if (stands_for(&s->builds[k - 1], made)) return;
    if (hopeless(s, made)) return;
    for (int *link = chain; *link;) {
        Build *old = &s->builds[*link - 1];
        if (stands_for(made, old)) {
            old->dead = 1;
            *link = old->next;
        } else {
            link = &old->next;
        }
    }
    if (s->count >= s->task.most_builds) {
        s->too_many = 1;
        return;
    }
    if (s->count == s->builds_room) {
        const Int room = s->builds_room * 2 + 256;
        s->builds = more(s, s->builds, room, sizeof(Build));
        s->builds_room = room;
    }
    s->builds[s->count] = *made;
    s->builds[s->count].next = *chain;
    *chain = (int)++s->count;
}

static void offer_parts(Search *s) {
    for (Int k = 0; k < s->task.kinds; k++)
        for (Int way = s->task.first_way[k]; way < s->task.first_way[k + 1] && s->task.copies[k]; way++) {
            const Int x = s->task.ways[2 * way], y = s->task.ways[2 * way + 1];
            Build made = {{x, y}, {x + s->task.gap, y + s->task.gap}, s->task.area[k], (Set)1 << s->place[k], (int)k,
                          (int)(way - s->task.first_way[k]), 0, 1, -1, 0};
            if (x <= s->task.plate[0] && y <= s->task.plate[1] && x * y - s->task.area[k] <= s->waste) offer(s, &made);
        }
}

/* Two builds with a cut between: sizes add up along an axis, and must agree along the other. */
static void join(Search *s, int one, int other, int axis) {
    const Build *a = &s->builds[one], *b = &s->builds[other];
    const int across = 1 - axis;
    Build made = {{0, 0}, {0, 0}, a->area + b->area, a->set + b->set, one, other, 0, a->parts + b->parts, axis, 0};
    made.size[axis] = a->size[axis] + b->size[axis];
    made.from[axis] = smaller(a->size[axis] + b->from[axis], a->from[axis] + b->size[axis]);
    made.from[across] = larger(a->from[across], b->from[across]);
    made.size[across] = allowed(b, across, a->size[across])   ? a->size[across]
                        : allowed(a, across, b->size[across]) ? b->size[across]
                                                              : made.from[across];
    if (made.size[0] > s->task.plate[0] || made.size[1] > s->task.plate[1]) return;
    if (made.size[across] > s->task.reach) return;
    if (made.size[0] * made.size[1] - made.area <= s->waste) offer(s, &made);
}

static int by_key(const void *one, const void *other) {
    const Row *a = one, *b = other;
    if (a->key != b->key) return a->key < b->key ? -1 : 1;
    return (a->build > b->build) - (a->build < b->build);
}

static Row row_of(const Search *s, int build, int axis) {
    const Build *b = &s->builds[build];
    const Row row = {b->size[1 - axis], b->size[axis], b->area, b->set, build, b->cut};
    return row;
}

/* The builds of a number of parts that none stands for, in order of the size that must agree. */
static void close_layer(Search *s, int parts, Int from) {
    int many = 0;
    for (Int k = from; k < s->count; k++) many += !s->builds[k].dead;
    for (int axis = 0; axis < 2; axis++) {
        Rows *rows = &s->layers[axis][parts];
        rows->rows = more(s, rows->rows, many, sizeof(Row));
        rows->count = 0;
        for (Int k = from; k < s->count; k++)
            if (!s->builds[k].dead) rows->rows[rows->count++] = row_of(s, (int)k, axis);
        qsort(rows->rows, (size_t)many, sizeof(Row), by_key);
    }
}

/* The first row whose key is at least (with `above`: more than) a size. */
static int first_at(const Rows *rows, Int size, int above) {
    int low = 0, high = rows->count;
    while (low < high) {
        const int middle = (low + high) / 2;
        if (rows->rows[middle].key < size + above) low = middle + 1;
        else high = middle;
    }
    return low;
}

/* One build joined with all of another layer that are no smaller along the side that must agree. */
static void scan(Search *s, const Row *mine, const Rows *others, int at) {
    const int axis = s->axis;
    const Int room = s->waste - (mine->key * mine->extent - mine->area);
    for (; at < others->count; at++) {
        const Row *other = &others->rows[at];
        const Int lost = (other->key - mine->key) * mine->extent;
        if (lost > room) return;
        s->steps++;
        if (lost + other->key * other->extent - other->area > room || !together(s, mine->set, other->set)) continue;
        if (mine->extent + other->extent > s->task.plate[axis] || (mine->cut == axis && other->cut == axis)) continue;
        join(s, mine->build, other->build, axis);
        if (s->too_many) return;
    }
}

/* Scan one build, and go to the next; 0 = all builds are there. */
static int build_on(Search *s) {
    const int other = s->layer - s->less;
    const Rows *low = &s->layers[s->axis][s->swapped ? other : s->less];
    const Rows *high = &s->layers[s->axis][s->swapped ? s->less : other];
    if (s->row < low->count) {
        const Row *mine = &low->rows[s->row];
        scan(s, mine, high, s->less == other ? s->row : first_at(high, mine->key, s->swapped));
        s->row++;
        return 1;
    }
    s->row = 0;
    if (!s->swapped && s->less != other) {
        s->swapped = 1;
        return 1;
    }
    s->swapped = 0;
    if (s->axis == 0) {
        s->axis = 1;
        return 1;
    }
    s->axis = 0;
    if (++s->less * 2 <= s->layer) return 1;
    s->less = 1;
    close_layer(s, s->layer, s->layer_from);
    s->layer_from = s->count;
    return ++s->layer <= s->parts;
}

/* ---- from the plate inwards ---- */

static int bucket_of(Int extent) {
    int bucket = 0;
    while (extent >>= 1) bucket++;
    return bucket < BUCKETS ? bucket : BUCKETS - 1;
}

static void fill_buckets(Search *s) {
    for (int axis = 0; axis < 2; axis++) {
        int many[BUCKETS] = {0};
        for (Int k = 0; k < s->count; k++)
            if (!s->builds[k].dead) many[bucket_of(s->builds[k].size[axis])]++;
        for (int b = 0; b < BUCKETS; b++) {
            Rows *rows = &s->buckets[axis][b];
            rows->rows = more(s, rows->rows, many[b], sizeof(Row));
            rows->count = 0;
        }
        for (Int k = 0; k < s->count; k++)
            if (!s->builds[k].dead) {
                Rows *rows = &s->buckets[axis][bucket_of(s->builds[k].size[axis])];
                rows->rows[rows->count++] = row_of(s, (int)k, axis);
            }
        for (int b = 0; b < BUCKETS; b++)
            qsort(s->buckets[axis][b].rows, (size_t)s->buckets[axis][b].count, sizeof(Row), by_key);
    }
}

static int has_failed(const Search *s, Set set, Int x, Int y) {
    for (int k = first_of(&s->failed, set); k >= 0; k = s->holes[k].next - 1)
        if (x <= s->holes[k].size[0] && y <= s->holes[k].size[1]) return 1;
    return 0;
}

static void note_failed(Search *s, Set set, Int x, Int y) {
    if (s->hole_count >= s->task.most_holes) {
        s->too_many = 1;
        return;
    }
    if (s->hole_count == s->holes_room) {
        const Int room = s->holes_room * 2 + 256;
        s->holes = more(s, s->holes, room, sizeof(Hole));
        s->holes_room = room;
    }
    int *chain = head(s, &s->failed, set);
    const Hole hole = {{x, y}, *chain};
    s->holes[s->hole_count] = hole;
    *chain = (int)++s->hole_count;
}

/* Whether each part of a set lies somewhere in a hole without wasting more than there is to waste. */
static int each_goes(Search *s, Set set, const Int *hole, Int waste) {
    for (Int k = 0; k < s->task.kinds; k++) {
        if (!number(s, set, k)) continue;
        const Set others = set - ((Set)1 << s->place[k]);
        int found = 0;
        for (Int way = s->task.first_way[k]; way < s->task.first_way[k + 1] && !found; way++) {
            const Int x = s->task.ways[2 * way], y = s->task.ways[2 * way + 1];
            const Int beside = hole[0] - x, beyond = hole[1] - y;
            if (beside < 0 || beyond < 0) continue;
            found = x * (beyond - reached(s, others, 1, beyond)) + y * (beside - reached(s, others, 0, beside)) <= waste;
        }
        if (!found) return 0;
    }
    return 1;
}

/* A hole that the parts of a set are to fill: 1 = a build does, 0 = it may be cut further, -1 = it cannot be filled. */
static int enter(Search *s, Set set, Int x, Int y) {
    Int size[2] = {x, y};
    for (int k = first_of(&s->known, set); k >= 0; k = s->builds[k].next - 1)
        if (allowed(&s->builds[k], 0, x) && allowed(&s->builds[k], 1, y)) {
            s->last = k;
            return 1;
        }
    if (has_failed(s, set, x, y)) return -1;
    const Int area = area_of(s, set);
    if (x * y - area <= s->waste) return -1;
    Int least[2];
    for (int axis = 0; axis < 2; axis++) least[axis] = reached(s, set, axis, size[axis]);
    /* Where any waste may be left all parts can be pushed to the corner, and what none reaches is not needed. */
    if (!s->task.gap) size[0] = least[0], size[1] = least[1];
    const Int waste = least[0] * least[1] - area;
    if (waste <= (s->task.gap ? -1 : s->waste) || !each_goes(s, set, least, waste)) {
        note_failed(s, set, x, y);
        return -1;
    }
    const Frame frame = {{size[0], size[1]}, {x, y}, size[0] * size[1] - area, set, 0, BUCKETS, -1, -1};
    s->frames[s->depth++] = frame;
    return 0;
}

/* The builds of the next bucket that may span the innermost hole, or the hole is left: it cannot be filled. */
static void turn_to_next(Search *s, Frame *f) {
    if (--f->bucket < 0) {
        if (++f->axis == 2) {
            note_failed(s, f->set, f->whole[0], f->whole[1]);
            s->depth--;
            return;
        }
        f->bucket = BUCKETS - 1;
    }
    f->at = first_at(&s->buckets[f->axis][f->bucket], f->size[1 - f->axis], 1) - 1;
}

/* Cut a build off the innermost hole where all its parts are wanted there and it wastes no more than half; 1 = all parts
   have their place. */
static int cut_off(Search *s, Frame *f, const Row *row, Int most) {
    const int axis = f->axis;
    const Int span = f->size[1 - axis];
    if (row->extent >= f->size[axis] || row->extent * span - row->area > most || span > s->task.reach) return 0;
    if (row->set == f->set || !within(s, row->set, f->set) || !allowed(&s->builds[row->build], 1 - axis, span)) return 0;
    f->side = row->build;
    Int size[2] = {f->size[0], f->size[1]};
    size[axis] -= row->extent;
    return enter(s, f->set - row->set, size[0], size[1]) == 1;
}

/* Go on with the innermost hole until another is entered or it is left; 1 = all parts have their place. */
static int cut_on(Search *s) {
    const int depth = s->depth;
    Frame *f = &s->frames[depth - 1];
    if (f->at < 0) {
        turn_to_next(s, f);
        return 0;
    }
    const Int most = smaller(f->waste / 2, s->waste), span = f->size[1 - f->axis];
    const Rows *rows = &s->buckets[f->axis][f->bucket];
    while (f->at >= 0 && s->depth == depth) {
        const Row *row = &rows->rows[f->at--];
        s->steps++;
        if ((span - row->key) << f->bucket > most) f->at = -1;
        else if (cut_off(s, f, row, most)) return 1;
    }
    return 0;
}

/* ---- what Python calls ---- */

enum { BUILDING, STARTING, CUTTING, OVER };

PUBLIC void small_waste_free(Search *s) {
    for (int axis = 0; axis < 2; axis++) {
        for (int k = 0; k <= MOST_PARTS; k++) memory_free(s->layers[axis][k].rows);
        for (int k = 0; k < BUCKETS; k++) memory_free(s->buckets[axis][k].rows);
    }
    memory_free(s->builds);
    memory_free(s->holes);
    memory_free(s->known.keys);
    memory_free(s->known.heads);
    memory_free(s->failed.keys);
    memory_free(s->failed.heads);
    memory_free(s);
}

PUBLIC Search *small_waste_new(const Task *task) {
    Search *s = memory_new(1, sizeof(Search));
    if (!s) return NULL;
    s->task = *task;
    int at = 0;
    for (Int k = 0; k < task->kinds; k++) {
        int bits = 0;
        while (task->copies[k] >> bits) bits++;
        s->place[k] = at;
        s->mask[k] = ((Set)1 << bits) - 1;
        s->full += (Set)task->copies[k] << at;
        s->spare += (s->mask[k] - (Set)task->copies[k]) << at;
        s->over += (Set)1 << (at + bits);
        at += bits + 1;
        s->parts += task->copies[k];
    }
    s->slack = task->plate[0] * task->plate[1] - area_of(s, s->full);
    return s;
}

/* From the start with builds that waste no more than this. */
PUBLIC Int small_waste_begin(Search *s, Int waste) {
    if (setjmp(s->refused)) return NO_MEMORY;
    s->waste = waste;
    s->count = s->hole_count = s->layer_from = 0;
    s->too_many = s->depth = s->axis = s->swapped = s->row = 0;
    s->less = 1;
    s->layer = 2;
    emptied(&s->known);
    emptied(&s->failed);
    for (int axis = 0; axis < 2; axis++)
        for (int k = 0; k <= MOST_PARTS; k++) s->layers[axis][k].count = 0;
    offer_parts(s);
    close_layer(s, 1, 0);
    s->layer_from = s->count;
    s->stage = s->parts > 1 ? BUILDING : STARTING;
    return 0;
}

static int go_on(Search *s) {
    if (s->stage == BUILDING) {
        if (!build_on(s) || s->too_many) s->stage = STARTING;
        return GOING_ON;
    }
    if (s->stage == STARTING) {
        fill_buckets(s);
        s->stage = CUTTING;
        return enter(s, s->full, s->task.plate[0], s->task.plate[1]) == 1 ? FOUND : GOING_ON;
    }
    if (s->stage == CUTTING && s->depth && s->hole_count < s->task.most_holes) return cut_on(s) ? FOUND : GOING_ON;
    s->stage = OVER;
    return s->too_many || s->depth ? FULL : ENDED;
}

/* Until so many steps are done in all, or it is FOUND, ENDED without, or FULL: more builds than may be kept. */
PUBLIC Int small_waste_run(Search *s, Int steps) {
    if (setjmp(s->refused)) return NO_MEMORY;
    int state = GOING_ON;
    while (state == GOING_ON && s->steps < steps) state = go_on(s);
    return state;
}

PUBLIC Int small_waste_steps(const Search *s) { return s->steps; }

/* Of the answer: the builds cut off one after the other and along which axis, last the one in the innermost hole. */
PUBLIC Int small_waste_found(const Search *s, Int *builds, Int *axes) {
    for (int k = 0; k < s->depth; k++) {
        builds[k] = s->frames[k].side;
        axes[k] = s->frames[k].axis;
    }
    builds[s->depth] = s->last;
    return s->depth + 1;
}

/* A build as 7 numbers: least and from where on along x, the same along y, cut, first, rest. */
PUBLIC void small_waste_build(const Search *s, Int number, Int *figures) {
    const Build *b = &s->builds[number];
    const Int all[7] = {b->size[0], b->from[0], b->size[1], b->from[1], b->cut, b->first, b->rest};
    memcpy(figures, all, sizeof(all));
}
