/* Rectangles into plates by straight cuts: take apart, rebuild, keep what is no worse.

   The compiled twin of layout/rectangles/ruin_recreate.py, with plate_nodes.py and placing.py: the same steps on the
   same numbers with the same chance, for speed alone. Read those files first; names are the same there. A change in one is a change in both, and
   tests/layout/rectangles/test_ruin_recreate.py compares them step by step.

   C99, whole numbers of 64 bits; doubles only in scores, with + - * / alone, so that results do not depend on the
   machine (compile without contraction of floating-point operations).

   Memory is asked for deep within a step. Where it is refused the step is left by a jump to the function that Python
   called, which says so; all that was built still hangs on the search, and is freed with it. */

#include <setjmp.h>
#include <stdlib.h>

#include "kernel.h"
#include "rng.h"

enum { HISTORY = 60, NEAR = 40, HANDS = 4, FEW = 64 };
static const double TIE = 1e-6, ODD = 1.5, SPOILT = 2.5;

/* Sizes carry one kerf. Below 0 = no limit, for far_max, limit and turnable. */
typedef struct {
    Int size[2], kerf, gap, longest, cuttable, marked, far_max, reach_low, reach_high, order_fixed, cost, limit;
    Int one_pass, turnable;
} Stock;

typedef struct {
    Int size[2], turned;
} Way;

typedef struct {
    Int demand, over, area;
    const Int *first_way; /* for each stock, where its ways begin; one more at the end */
    const Way *ways;
} Item;

/* What one plate of a stock costs in plate and hands together, in ticks: `StockTerms` of layout/objective.py. */
typedef struct {
    Int plate, cut, aside, push, stop, stop_span, heavy, uneven, unmeasured, over, one_pass;
    double per_length, per_area, two_person, stop_per_length, worth, worth_other, mark, zero;
} Terms;

/* depth 0 = any; terms NULL = plates alone count. The arrays stay the caller's, and are kept as long as the search. */
typedef struct {
    Int stocks, items, depth, enough, setting, keep[2];
    const Stock *stock;
    const Item *item;
    const Terms *terms;
} Task;

/* A node as Python sends and gets it, its children after it: an item and the way it lies, or -1 and the axis along
   which it is stacked. */
typedef struct {
    Int item, way_or_axis, size[2], children;
} Twig;

/* The best so far: cost, area and number of items without a place, plates, nodes in all of them, total in ticks. */
typedef struct {
    Int cost, out_area, out, plates, nodes, total;
} Result;

/* A blank is stacked along axis `along` (0 = x, 1 = y); `rest` is the free extent at its end. A leaf has item >= 0. */
typedef struct {
    Int size[2], rest;
    int first, next, along, depth, item, way;
} Node;

typedef struct {
    int stock, count, room, parts;
    Int filled;
    Node *nodes;
} Plate;

typedef struct {
    double key;
    int item;
} Keyed;

typedef struct {
    Task task;
    jmp_buf refused; /* where to go when memory is refused */
    Rng rng;
    Plate *plates, *saved;
    int open, plates_room;
    int *touched, touches;
    char *is_touched;
    int *out, outs, *saved_out, saved_outs; /* items without a place */
    Keyed *keyed;
    int saved_open;
    Int *used, cost, budget;
    Int history[HISTORY], current;
    int at, rule;
    char *gone;
    int gone_room;
    Plate *best;
    int best_open;
    Int best_cost, best_out;
    int *best_left, best_lefts;
    Plate spare;
    Int best_total, *sizes, *readings; /* of a search by total; `readings` are those of the layout as it stands */
    int sizes_room, readings_known;
    double *factors;
} Search;

typedef struct {
    double score;
    int plate, node, option, way, along;
} Place;

/* ---- memory: a plate holds its nodes in one block, which grows ---- */

static void *more(Search *s, void *old, Int count, size_t size) {
    void *made = memory_more(old, count, size);
    if (!made) longjmp(s->refused, 1);
    return made;
}

static void room_for(Search *s, Plate *plate, int nodes) {
    if (nodes <= plate->room) return;
    int room = nodes * 2 + 8;
    plate->nodes = more(s, plate->nodes, room, sizeof(Node));
    plate->room = room;
}

static void copy_plate(Search *s, Plate *to, const Plate *from) {
    room_for(s, to, from->count);
    memcpy(to->nodes, from->nodes, sizeof(Node) * (size_t)from->count);
    to->stock = from->stock;
    to->count = from->count;
    to->parts = from->parts;
    to->filled = from->filled;
}

static void swap_plates(Plate *one, Plate *other) {
    Plate kept = *one;
    *one = *other;
    *other = kept;
}

static Plate *more_plates(Search *s, Plate *old, int room) {
    Plate *made = more(s, old, room, sizeof(Plate));
    memset(made + s->plates_room, 0, sizeof(Plate) * (size_t)(room - s->plates_room));
    return made;
}

static void grow_plates(Search *s) {
    if (s->open < s->plates_room) return;
    int room = s->plates_room * 2 + 8;
    s->plates = more_plates(s, s->plates, room);
    s->saved = more_plates(s, s->saved, room);
    s->best = more_plates(s, s->best, room);
    s->touched = more(s, s->touched, room, sizeof(int));
    s->is_touched = more(s, s->is_touched, room, 1);
    memset(s->is_touched + s->plates_room, 0, (size_t)(room - s->plates_room));
    s->plates_room = room;
}

static void room_for_sizes(Search *s, int count) {
    if (count <= s->sizes_room) return;
    s->sizes = more(s, s->sizes, count * 2, sizeof(Int));
    s->readings = more(s, s->readings, count * 2, sizeof(Int));
    s->sizes_room = count * 2;
}

/* ---- what plates cost in plate and hands together: layout/objective.py ---- */

static int by_size(const void *one, const void *other) {
    Int a = *(const Int *)one, b = *(const Int *)other;
    return a < b ? -1 : a > b;
}

/* Up to FEW things are put in order here: the library's sort asks a function for every pair. */
static void sort_sizes(Int *sizes, int count) {
    if (count > FEW) {
        qsort(sizes, (size_t)count, sizeof(Int), by_size);
        return;
    }
    for (int n = 1; n < count; n++) {
        Int size = sizes[n];
        int at = n;
        for (; at > 0 && sizes[at - 1] > size; at--) sizes[at] = sizes[at - 1];
        sizes[at] = size;
    }
}

static Int handled(const Terms *t, Int base, Int area) {
    Int alone = base + (Int)((double)area * t->per_area);
    return area > t->heavy ? (Int)((double)alone * t->two_person) : alone;
}

/* What the nearest mark of the fence is off by, as a share of the distance of marks. */
static double mark_error(const Terms *t, Int size) {
    double at = ((double)size + t->zero) / t->mark, up = at + 0.5 + TIE;
    Int mark = (Int)up;
    if ((double)mark > up) mark--; /* rounded down, below 0 too */
    return (double)mark - at;
}

/* Ticks for a row that leaves nothing over: its last piece takes what all marks are off by, and what the plate is. */
static Int last_piece(const Search *s, const Plate *plate, const Node *node, Int count) {
    const Terms *t = s->task.terms + plate->stock;
    double off = 0.0;
    for (int child = node->first; child >= 0; child = plate->nodes[child].next)
        off += mark_error(t, plate->nodes[child].size[node->along] - s->task.stock[plate->stock].kerf);
    double loss = (double)t->uneven * off * off;
    double each = (double)(count * (s->task.setting + t->uneven / 16));
    Int whole = node->size[node->along] == s->task.stock[plate->stock].size[node->along];
    if (off > ODD || off < -ODD)
        loss = (double)t->uneven * SPOILT;
    else if (each < loss)
        loss = each;
    return (Int)loss + (whole ? t->unmeasured : 0);
}

/* Ticks of the cuts of one blank, and of fetching it where it was put aside. */
static Int node_total(const Search *s, const Plate *plate, int number) {
    const Terms *t = s->task.terms + plate->stock;
    const Node *node = plate->nodes + number;
    Int kerf = s->task.stock[plate->stock].kerf;
    Int travel = node->size[1 - node->along] - kerf, there = node->size[node->along] - kerf;
    Int ticks = number ? handled(t, t->aside, travel * there) : 0, count = 0;
    for (int child = node->first; child >= 0; child = plate->nodes[child].next) {
        Int size = plate->nodes[child].size[node->along] - kerf;
        if (size == there) break; /* the last one needs no cut */
        if (count++) ticks += handled(t, t->push, travel * there);
        ticks += t->cut + (Int)((double)travel * t->per_length);
        if (travel > t->one_pass) ticks += t->cut + handled(t, t->over, travel * there);
        there -= size + kerf;
    }
    return node->rest == 0 && count ? ticks + last_piece(s, plate, node, count) : ticks;
}

/* Ticks of the end stops of a plate, whose lengths of cuts are in `sizes`. */
static Int stops_total(const Terms *t, Int *sizes, int count) {
    Int ticks = 0, longest = -1;
    sort_sizes(sizes, count);
    for (int n = count - 1; n >= 0; n--) {
        if (longest >= 0 && longest - sizes[n] <= t->stop_span) continue;
        longest = sizes[n];
        ticks += t->stop + (Int)((double)longest * t->stop_per_length);
    }
    return ticks;
}

/* Ticks that the offcuts of a plate are worth. */
static Int worth_of(const Search *s, const Plate *plate) {
    const Terms *t = s->task.terms + plate->stock;
    Int kerf = s->task.stock[plate->stock].kerf, largest = 0, all = 0;
    for (int n = 0; n < plate->count; n++) {
        const Node *node = plate->nodes + n;
        if (node->item >= 0) continue;
        Int one = node->rest - kerf, other = node->size[1 - node->along] - kerf;
        if (smaller(one, other) <= 0 || smaller(one, other) < s->task.keep[0] || larger(one, other) < s->task.keep[1])
            continue;
        all += one * other;
        largest = larger(largest, one * other);
    }
    return (Int)((double)largest * t->worth) + (Int)((double)(all - largest) * t->worth_other);
}

/* The widths that the fence is set for in a plate, added to `sizes`; their number. Of a row that leaves nothing over
   the widest piece is what is left. */
static int readings_of(const Search *s, const Plate *plate, Int *sizes) {
    Int kerf = s->task.stock[plate->stock].kerf;
    int count = 0;
    for (int n = 0; n < plate->count; n++) {
        const Node *node = plate->nodes + n;
        if (node->item >= 0) continue;
        int widest = -1;
        for (int child = node->first; child >= 0; child = plate->nodes[child].next) {
            sizes[count] = plate->nodes[child].size[node->along] - kerf;
            if (widest < 0 || sizes[count] > sizes[widest]) widest = count;
            count++;
        }
        if (node->rest == 0 && widest >= 0) sizes[widest] = sizes[--count];
    }
    return count;
}

static Int plate_total(Search *s, const Plate *plate) {
    const Terms *t = s->task.terms + plate->stock;
    Int ticks = t->plate;
    int count = 0;
    for (int n = 0; n < plate->count; n++) {
        const Node *node = plate->nodes + n;
        if (node->item >= 0) continue;
        ticks += node_total(s, plate, n);
        if (node->first < 0 || plate->nodes[node->first].size[node->along] == node->size[node->along]) continue;
        s->sizes[count++] = node->size[1 - node->along] - s->task.stock[plate->stock].kerf;
    }
    return ticks + stops_total(t, s->sizes, count) - worth_of(s, plate);
}

/* Put a reading among those known, which are few beside the cuts that have them. */
static void add_reading(Search *s, Int size) {
    int low = 0, high = s->readings_known;
    while (low < high) {
        int middle = (low + high) / 2;
        if (s->readings[middle] == size) return;
        if (s->readings[middle] < size)
            low = middle + 1;
        else
            high = middle;
    }
    for (int n = s->readings_known++; n > low; n--) s->readings[n] = s->readings[n - 1];
    s->readings[low] = size;
}

/* Ticks of all plates; the readings as they stand are kept, sorted and each once. */
static Int plates_total(Search *s) {
    Int ticks = 0;
    int nodes = 0, count = 0;
    for (int n = 0; n < s->open; n++) nodes += s->plates[n].count;
    room_for_sizes(s, nodes + 1);
    for (int n = 0; n < s->open; n++) ticks += plate_total(s, s->plates + n);
    for (int n = 0; n < s->open; n++) count += readings_of(s, s->plates + n, s->sizes + count);
    s->readings_known = 0;
    for (int n = 0; n < count; n++) add_reading(s, s->sizes[n]);
    return ticks + s->readings_known * s->task.setting;
}

/* ---- a plate's tree ---- */

static void empty_plate(Search *s, Plate *plate, int stock) {
    room_for(s, plate, 1);
    Node *root = plate->nodes;
    memset(root, 0, sizeof *root);
    root->size[0] = s->task.stock[stock].size[0];
    root->size[1] = s->task.stock[stock].size[1];
    root->rest = root->size[0];
    root->first = root->next = root->item = -1;
    root->depth = 1;
    plate->stock = stock;
    plate->count = 1;
    plate->parts = 0;
    plate->filled = 0;
}

static int add_child(Search *s, Plate *plate, int parent, int along, Int x, Int y, int item, int way) {
    room_for(s, plate, plate->count + 1);
    int number = plate->count++;
    Node *node = plate->nodes + number, *above = plate->nodes + parent;
    node->size[0] = x;
    node->size[1] = y;
    node->rest = 0;
    node->first = node->next = -1;
    node->along = along;
    node->depth = above->depth + (along != above->along);
    node->item = item;
    node->way = way;
    if (above->first < 0) {
        above->first = number;
    } else {
        int last = above->first;
        while (plate->nodes[last].next >= 0) last = plate->nodes[last].next;
        plate->nodes[last].next = number;
    }
    return number;
}

static int split_ok(const Stock *k, Int one, Int other) {
    if (k->marked) {
        Int less = one < other ? one : other;
        return k->far_max < 0 || less <= k->far_max;
    }
    int reach_one = one >= k->reach_low && one <= k->reach_high;
    int reach_other = other >= k->reach_low && other <= k->reach_high;
    return (reach_one && (k->far_max < 0 || other <= k->far_max)) ||
           (reach_other && (k->far_max < 0 || one <= k->far_max));
}

static int cut_ok(const Search *s, const Stock *k, Int travel, int depth, Int one, Int other) {
    if (!k->cuttable || travel - k->kerf > k->longest || (s->task.depth > 0 && depth > s->task.depth)) return 0;
    if (k->turnable >= 0 && travel - k->kerf > k->one_pass &&
        (travel - k->kerf) * (one + other - k->kerf) > k->turnable) return 0;
    return split_ok(k, one - k->kerf, other - k->kerf);
}

static double score_of(int rule, Int e, Int c, Int a, Int b, int option) {
    double r = (double)(e - a), t = (double)(c - b);
    double whole = (double)e * (double)c, one, other;
    if (option == 1) {
        one = r * (double)c;
        other = (double)a * t;
    } else {
        one = (double)e * t;
        other = r * (double)b;
    }
    double small = one > other ? other : one;
    double least = r < t ? r : t, most = r < t ? t : r;
    if (rule == 0) return whole * whole - one * one - other * other;
    if (rule == 1) return least * 1000.0 + most;
    if (rule == 2) return whole - (double)a * (double)b + small * 0.5;
    return least * (double)(r < t ? c : e) + small;
}

static int reading_known(const Search *s, Int size) {
    return bsearch(&size, s->readings, (size_t)s->readings_known, sizeof(Int), by_size) != NULL;
}

/* What the hands do more for a part in a free rectangle: its cuts, a piece put aside, a reading not used so far; and
   the metal that it leaves in odd shapes. */
static double hands_score(const Search *s, const Plate *plate, Int e, Int c, Int a, Int b, int option) {
    const Terms *t = s->task.terms + plate->stock;
    Int kerf = s->task.stock[plate->stock].kerf;
    double score = 0.0, first = option == 1 ? (double)c : (double)e, second = option == 1 ? (double)a : (double)b;
    Int one = option == 1 ? a : b, whole_one = option == 1 ? e : c, two = option == 1 ? b : a;
    Int whole_two = option == 1 ? c : e;
    if (one < whole_one) {
        score += (double)t->cut + first * t->per_length;
        if (!reading_known(s, one - kerf)) score += (double)s->task.setting;
    }
    if (two < whole_two) {
        score += (double)(t->cut + t->aside) + second * t->per_length;
        if (!reading_known(s, two - kerf)) score += (double)s->task.setting;
    }
    if (option == 2) score += (double)t->aside;
    double left = (double)(whole_one - one) * first, beside = (double)(whole_two - two) * second;
    return score + (left < beside ? left : beside) * t->worth;
}

static void consider(Search *s, int plate_number, int node_number, int item_number, int blink, Place *best) {
    const Plate *plate = s->plates + plate_number;
    const Node *node = plate->nodes + node_number;
    const Stock *k = s->task.stock + plate->stock;
    const Item *item = s->task.item + item_number;
    int empty = node->first < 0;
    for (Int w = item->first_way[plate->stock]; w < item->first_way[plate->stock + 1]; w++) {
        for (int turn = 0; turn < (empty ? 2 : 1); turn++) {
            int along = empty ? turn : node->along;
            Int e = empty ? node->size[along] : node->rest, c = node->size[1 - along];
            Int a = item->ways[w].size[along], b = item->ways[w].size[1 - along];
            if (a > e || b > c) continue;
            if (e - a > 0 && e - a < k->gap) {
                if (e - a > item->over) continue;
                a = e;
            }
            if (c - b > 0 && c - b < k->gap) {
                if (c - b > item->over) continue;
                b = c;
            }
            if (blink && below(&s->rng, 100) == 0) continue;
            int strip_ok = (a == e || cut_ok(s, k, c, node->depth, a, e - a)) &&
                           (b == c || cut_ok(s, k, a, node->depth + 1, b, c - b));
            if (strip_ok) {
                double score = s->rule == HANDS ? hands_score(s, plate, e, c, a, b, 1)
                                                : score_of(s->rule, e, c, a, b, 1);
                if (score < best->score) *best = (Place){score, plate_number, node_number, 1, (int)w, along};
            }
            if (!empty && a < e && b < c && cut_ok(s, k, e, node->depth + 1, b, c - b) &&
                cut_ok(s, k, b, node->depth + 2, a, e - a)) {
                double score = s->rule == HANDS ? hands_score(s, plate, e, c, a, b, 2)
                                                : score_of(s->rule, e, c, a, b, 2);
                if (score < best->score) *best = (Place){score, plate_number, node_number, 2, (int)w, along};
            }
        }
    }
}

static void put(Search *s, const Place *at, int item_number) {
    Plate *plate = s->plates + at->plate;
    room_for(s, plate, plate->count + 3);
    const Stock *k = s->task.stock + plate->stock;
    const Way *way = s->task.item[item_number].ways + at->way;
    Node *node = plate->nodes + at->node;
    int d = at->along, number = at->node;
    if (node->first < 0) {
        node->along = d;
        node->rest = node->size[d];
    }
    Int e = node->rest, c = node->size[1 - d], a = way->size[d], b = way->size[1 - d], size[2];
    if (e - a > 0 && e - a < k->gap) a = e;
    if (c - b > 0 && c - b < k->gap) b = c;
    size[d] = at->option == 1 ? a : e;
    size[1 - d] = c;
    node->rest -= size[d];
    if (b < c) {
        number = add_child(s, plate, number, 1 - d, size[0], size[1], -1, 0);
        plate->nodes[number].rest = c - b;
        size[1 - d] = b;
    }
    if (at->option == 2) {
        number = add_child(s, plate, number, d, size[0], size[1], -1, 0);
        plate->nodes[number].rest = e - a;
        size[d] = a;
    }
    add_child(s, plate, number, d, size[0], size[1], item_number, at->way);
    plate->filled += a * b;
    plate->parts++;
}

/* ---- taking apart ---- */

static void throw_out(Search *s, Plate *plate, int number) {
    const Node *node = plate->nodes + number;
    if (node->item >= 0) {
        if (s->gone[number]) return;
        s->gone[number] = 1;
        s->out[s->outs++] = node->item;
        plate->filled -= node->size[0] * node->size[1];
        plate->parts--;
        return;
    }
    for (int child = node->first; child >= 0; child = plate->nodes[child].next) throw_out(s, plate, child);
}

/* What is left of a node after parts were thrown out: itself, its only child, or nothing (-1). */
static int settled(Search *s, Plate *plate, int number) {
    Node *node = plate->nodes + number;
    const Stock *k = s->task.stock + plate->stock;
    if (node->item >= 0) return s->gone[number] ? -1 : number;
    int first = -1, last = -1, children = 0, next;
    for (int child = node->first; child >= 0; child = next) {
        next = plate->nodes[child].next;
        Int extent = plate->nodes[child].size[node->along];
        int left = settled(s, plate, child);
        if (left < 0) {
            node->rest += extent;
            continue;
        }
        int from = left, to = left;
        if (plate->nodes[left].item < 0 && plate->nodes[left].along == node->along) {
            node->rest += plate->nodes[left].rest;
            from = plate->nodes[left].first;
            for (to = from; plate->nodes[to].next >= 0; to = plate->nodes[to].next) children++;
        }
        children++;
        if (last < 0)
            first = from;
        else
            plate->nodes[last].next = from;
        last = to;
        plate->nodes[last].next = -1;
    }
    node->first = first;
    if (children == 0) return -1;
    int sound = node->rest == 0 || node->rest >= k->gap;
    if (sound && k->order_fixed) {
        Int e = node->size[node->along];
        for (int child = first; child >= 0 && sound; child = plate->nodes[child].next) {
            Int a = plate->nodes[child].size[node->along];
            sound = a == e || split_ok(k, a - k->kerf, e - a - k->kerf);
            e -= a;
        }
    }
    if (!sound) {
        throw_out(s, plate, number);
        return -1;
    }
    return children == 1 && node->rest == 0 ? first : number;
}

static int copied(const Plate *from, Plate *to, int number, int depth) {
    int here = to->count++;
    Node *node = to->nodes + here;
    *node = from->nodes[number];
    node->next = -1;
    node->depth = depth;
    int last = -1;
    for (int child = from->nodes[number].first; child >= 0; child = from->nodes[child].next) {
        int deeper = depth + (from->nodes[child].item < 0 && from->nodes[child].along != node->along);
        int copy = copied(from, to, child, deeper);
        if (last < 0)
            node->first = copy;
        else
            to->nodes[last].next = copy;
        last = copy;
    }
    return here;
}

static void settle(Search *s, int number) {
    Plate *plate = s->plates + number, *spare = &s->spare;
    int root = settled(s, plate, 0);
    if (root < 0) {
        empty_plate(s, plate, plate->stock);
        return;
    }
    if (plate->nodes[root].item >= 0) { /* one part as large as the plate */
        plate->nodes[0].first = root;
        plate->nodes[0].rest = 0;
        root = 0;
    }
    room_for(s, spare, plate->count);
    spare->count = 0;
    copied(plate, spare, root, 1);
    spare->stock = plate->stock;
    spare->parts = plate->parts;
    spare->filled = plate->filled;
    swap_plates(plate, spare);
}

static void touch(Search *s, int number) {
    if (s->is_touched[number]) return;
    s->is_touched[number] = 1;
    s->touched[s->touches++] = number;
    if (number < s->saved_open) copy_plate(s, s->saved + number, s->plates + number);
}

static void clear_gone(Search *s, int nodes) {
    if (nodes > s->gone_room) {
        s->gone = more(s, s->gone, nodes * 2, 1);
        s->gone_room = nodes * 2;
    }
    memset(s->gone, 0, (size_t)nodes);
}

static void take_apart(Search *s) {
    int plates = 1 + below(&s->rng, 3), how = below(&s->rng, 3);
    for (int turn = 0; turn < plates; turn++) {
        int number = below(&s->rng, s->open);
        Plate *plate = s->plates + number;
        if (plate->parts == 0) continue;
        touch(s, number);
        clear_gone(s, plate->count);
        if (how == 0) {
            throw_out(s, plate, 0);
        } else if (how == 1) {
            int draws = 1 + below(&s->rng, plate->parts < 8 ? plate->parts : 8);
            for (int n = 0; n < draws; n++) {
                int node = below(&s->rng, plate->count);
                if (plate->nodes[node].item >= 0) throw_out(s, plate, node);
            }
        } else {
            throw_out(s, plate, below(&s->rng, plate->count));
        }
        settle(s, number);
    }
}

/* ---- rebuilding ---- */

static int by_key(const void *one, const void *other) {
    const Keyed *a = one, *b = other;
    if (a->key != b->key) return a->key > b->key ? -1 : 1;
    return a->item - b->item;
}

/* What parts are ordered by, of a part's first way. */
static double size_by(const Item *item, int how) {
    double x = (double)item->ways[0].size[0], y = (double)item->ways[0].size[1];
    return how == 0 ? x * y : how == 1 ? (x > y ? x * x : y * y) : how == 2 ? x * x : y * y;
}

static void sort_keyed(Keyed *keyed, int count) {
    if (count > FEW) {
        qsort(keyed, (size_t)count, sizeof(Keyed), by_key);
        return;
    }
    for (int n = 1; n < count; n++) {
        Keyed one = keyed[n];
        int at = n;
        for (; at > 0 && by_key(keyed + at - 1, &one) > 0; at--) keyed[at] = keyed[at - 1];
        keyed[at] = one;
    }
}

static void sort_out(Search *s, int how, int noise) {
    Keyed *keyed = s->keyed;
    for (int n = 0; n < s->outs; n++) {
        double factor = noise ? 700.0 + (double)below(&s->rng, 600) : 1000.0;
        keyed[n].key = how == 4 ? factor : size_by(s->task.item + s->out[n], how) * factor;
        keyed[n].item = s->out[n];
    }
    sort_keyed(keyed, s->outs);
    for (int n = 0; n < s->outs; n++) s->out[n] = keyed[n].item;
}

static int open_plate(Search *s, int item_number, Int out_area) {
    int chosen = -1;
    double least = 0;
    const Item *item = s->task.item + item_number;
    for (int n = 0; n < s->task.stocks; n++) {
        const Stock *k = s->task.stock + n;
        if (item->first_way[n] == item->first_way[n + 1]) continue;
        if ((k->limit >= 0 && s->used[n] >= k->limit) || k->cost > s->budget - s->cost) continue;
        double area = (double)k->size[0] * (double)k->size[1], wanted = (double)out_area * 1.1;
        double use = s->task.stocks > 1 && wanted < area ? wanted : area;
        double dear = (double)k->cost * (double)(s->task.stocks > 1 ? 80 + below(&s->rng, 40) : 100);
        if (chosen < 0 || dear * least < use) {
            chosen = n;
            least = dear > 0 ? use / dear : 1e300;
        }
    }
    if (chosen < 0) return 0;
    grow_plates(s);
    touch(s, s->open);
    empty_plate(s, s->plates + s->open, chosen);
    s->open++;
    s->used[chosen]++;
    s->cost += s->task.stock[chosen].cost;
    return 1;
}

static void in_plate(Search *s, int plate, int item, int blink, Place *best) {
    Int area = s->task.stock[s->plates[plate].stock].size[0] * s->task.stock[s->plates[plate].stock].size[1];
    if (area - s->plates[plate].filled < s->task.item[item].area) return;
    /* Most of what is free is too small for the part, whichever way it lies: that is seen here, without a call. */
    const Item *part = s->task.item + item;
    const Node *node = s->plates[plate].nodes;
    Int first = part->first_way[s->plates[plate].stock], end = part->first_way[s->plates[plate].stock + 1];
    Int least[2] = {INT64_MAX, INT64_MAX};
    for (Int w = first; w < end; w++)
        for (int d = 0; d < 2; d++) least[d] = smaller(least[d], part->ways[w].size[d]);
    for (int n = 0; n < s->plates[plate].count; n++, node++) {
        if (node->item >= 0 || node->rest <= 0) continue;
        int d = node->along;
        if (node->first >= 0 && (node->rest < least[d] || node->size[1 - d] < least[1 - d])) continue;
        consider(s, plate, n, item, blink, best);
    }
}

static void rebuild(Search *s, int near, int blink) {
    int kept = 0, from = 0;
    Int out_area = 0;
    for (int n = 0; n < s->outs; n++) out_area += s->task.item[s->out[n]].area;
    if (near) from = below(&s->rng, s->open > 0 ? s->open : 1);
    for (int n = 0; n < s->outs; n++) {
        int item = s->out[n];
        Place best = {1e300, -1, 0, 0, 0, 0};
        if (near && s->open > NEAR) {
            for (int j = 0; j < s->touches; j++)
                if (s->touched[j] < s->open) in_plate(s, s->touched[j], item, blink, &best);
            for (int j = 0; j < NEAR; j++) {
                int plate = (from + j) % s->open;
                if (!s->is_touched[plate]) in_plate(s, plate, item, blink, &best);
            }
        } else {
            for (int plate = 0; plate < s->open; plate++) in_plate(s, plate, item, blink, &best);
        }
        if (best.plate < 0 && open_plate(s, item, out_area)) {
            consider(s, s->open - 1, 0, item, 0, &best);
            if (best.plate < 0) { /* this plate cannot take it after all */
                s->open--;
                s->used[s->plates[s->open].stock]--;
                s->cost -= s->task.stock[s->plates[s->open].stock].cost;
            }
        }
        if (best.plate < 0) {
            s->out[kept++] = item;
            continue;
        }
        touch(s, best.plate);
        put(s, &best, item);
        out_area -= s->task.item[item].area;
    }
    s->outs = kept;
}

/* Close plates without parts; the last one takes the place of each. */
static void close_empty(Search *s) {
    for (int n = s->open - 1; n >= 0; n--) {
        if (s->plates[n].parts > 0) continue;
        touch(s, n);
        touch(s, s->open - 1);
        s->used[s->plates[n].stock]--;
        s->cost -= s->task.stock[s->plates[n].stock].cost;
        swap_plates(s->plates + n, s->plates + s->open - 1);
        s->open--;
    }
}

static Int out_area_of(const Search *s) {
    Int area = 0;
    for (int n = 0; n < s->outs; n++) area += s->task.item[s->out[n]].area;
    return area;
}

static void keep_best(Search *s) {
    s->best_open = s->open;
    for (int n = 0; n < s->open; n++) copy_plate(s, s->best + n, s->plates + n);
    s->best_cost = s->cost;
    s->best_out = out_area_of(s);
    s->best_lefts = s->outs;
    memcpy(s->best_left, s->out, sizeof(int) * (size_t)s->outs);
}

/* Late acceptance goes on as if every step it remembers had come to this. */
static void accept_up_to(Search *s, Int value) {
    for (int n = 0; n < HISTORY; n++) s->history[n] = value;
}

/* Close the plates that hold least for their cost until the rest is within the budget. */
static void within_budget(Search *s) {
    while (s->open > 0 && s->cost > s->budget) {
        int worst = -1;
        double least = 0;
        for (int n = 0; n < s->open; n++) {
            double cost = (double)s->task.stock[s->plates[n].stock].cost;
            double worth = cost > 0 ? (double)s->plates[n].filled / cost : 1e300;
            if (worst < 0 || worth < least) {
                worst = n;
                least = worth;
            }
        }
        clear_gone(s, s->plates[worst].count);
        throw_out(s, s->plates + worst, 0);
        s->used[s->plates[worst].stock]--;
        s->cost -= s->task.stock[s->plates[worst].stock].cost;
        swap_plates(s->plates + worst, s->plates + s->open - 1);
        s->open--;
    }
    s->current = out_area_of(s);
    accept_up_to(s, s->current);
}

static void start_step(Search *s) {
    for (int n = 0; n < s->touches; n++) s->is_touched[s->touched[n]] = 0;
    s->touches = 0;
    s->saved_open = s->open;
    s->saved_outs = s->outs;
    memcpy(s->saved_out, s->out, sizeof(int) * (size_t)s->outs);
}

static void undo(Search *s) {
    for (int n = 0; n < s->touches; n++)
        if (s->touched[n] < s->saved_open) swap_plates(s->plates + s->touched[n], s->saved + s->touched[n]);
    s->open = s->saved_open;
    s->outs = s->saved_outs;
    memcpy(s->out, s->saved_out, sizeof(int) * (size_t)s->outs);
    s->cost = 0;
    memset(s->used, 0, sizeof(Int) * (size_t)s->task.stocks);
    for (int n = 0; n < s->open; n++) {
        s->used[s->plates[n].stock]++;
        s->cost += s->task.stock[s->plates[n].stock].cost;
    }
}

static int finished(const Search *s) { return s->best_out == 0 && s->best_cost <= s->task.enough; }

/* Late acceptance of what a step came to: no worse than now, or than HISTORY steps ago. */
static void accept_or_undo(Search *s, Int value) {
    if (value <= s->current || value <= s->history[s->at])
        s->current = value;
    else
        undo(s);
    s->history[s->at] = s->current;
    s->at = (s->at + 1) % HISTORY;
}

/* ---- steps by total: every part has its place, before and after ---- */

/* Parts of one kind, drawn with it, leave the plates that are looked at: so rows are made anew, with other neighbours. */
static void throw_kind_out(Search *s, int number, int item) {
    Plate *plate = s->plates + number;
    clear_gone(s, plate->count);
    for (int n = 0; n < plate->count; n++)
        if (plate->nodes[n].item == item) throw_out(s, plate, n);
}

static void take_kinds_apart(Search *s) {
    int plates = 1 + below(&s->rng, 2), item = -1;
    for (int turn = 0; turn < plates; turn++) {
        int number = below(&s->rng, s->open);
        Plate *plate = s->plates + number;
        if (plate->parts == 0) continue;
        touch(s, number);
        for (int draws = 0; item < 0 && draws < 8; draws++) item = plate->nodes[below(&s->rng, plate->count)].item;
        if (item < 0) return;
        throw_kind_out(s, number, item);
        settle(s, number);
    }
}

/* Order the parts without a place, copies of one part next to each other: they make a row. */
static void sort_kinds_out(Search *s, int how) {
    Keyed *keyed = s->keyed;
    for (int n = 0; n < s->task.items; n++) s->factors[n] = 700.0 + (double)below(&s->rng, 600);
    for (int n = 0; n < s->outs; n++) {
        double factor = s->factors[s->out[n]];
        keyed[n].key = how == 4 ? factor : size_by(s->task.item + s->out[n], how) * factor;
        keyed[n].item = s->out[n];
    }
    sort_keyed(keyed, s->outs);
    for (int n = 0; n < s->outs; n++) s->out[n] = keyed[n].item;
}

/* Back to the best plates, with no limit on their cost: a dearer plate may spare hands. */
static void start_by_total(Search *s) {
    s->open = s->best_open;
    for (int n = 0; n < s->open; n++) copy_plate(s, s->plates + n, s->best + n);
    s->outs = 0;
    start_step(s);
    undo(s); /* counts what is used */
    s->budget = INT64_MAX;
    s->best_total = s->current = plates_total(s);
    accept_up_to(s, s->current);
}

static void step_by_total(Search *s) {
    start_step(s);
    if (below(&s->rng, 4) == 0)
        take_kinds_apart(s);
    else
        take_apart(s);
    close_empty(s);
    sort_kinds_out(s, below(&s->rng, 5));
    s->rule = below(&s->rng, 2) ? HANDS : below(&s->rng, 4);
    rebuild(s, 1, 1);
    Int total = s->outs ? INT64_MAX : plates_total(s);
    if (total < s->best_total) {
        keep_best(s);
        s->best_total = total;
    }
    accept_or_undo(s, total);
}

static void step(Search *s) {
    start_step(s);
    if (s->open > 0) take_apart(s);
    close_empty(s);
    sort_out(s, below(&s->rng, 10) == 0 ? 4 : below(&s->rng, 4), 1);
    s->rule = below(&s->rng, 4);
    rebuild(s, 1, 1);
    Int area = out_area_of(s);
    if (area < s->best_out || (area == 0 && s->cost < s->best_cost)) keep_best(s);
    if (area == 0 && s->best_out == 0) {
        s->budget = s->best_cost - 1;
        within_budget(s);
        return;
    }
    accept_or_undo(s, area);
}

/* ---- what Python calls ---- */

PUBLIC void ruin_recreate_free(Search *s) {
    if (!s) return;
    Plate *plates[] = {s->plates, s->saved, s->best};
    for (int k = 0; k < 3; k++)
        for (int n = 0; n < s->plates_room; n++) memory_free(plates[k][n].nodes);
    void *owned[] = {s->spare.nodes, s->plates, s->saved,     s->best, s->touched, s->is_touched, s->out,
                     s->saved_out,   s->keyed,  s->best_left, s->used, s->gone,    s->sizes,
                     s->readings,    s->factors};
    for (size_t n = 0; n < sizeof owned / sizeof *owned; n++) memory_free(owned[n]);
    memory_free(s);
}

/* NULL = memory was refused. */
PUBLIC Search *ruin_recreate_new(const Task *task, uint64_t seed) {
    Search *s = memory_new(1, sizeof(Search));
    if (!s) return NULL;
    Int copies = 0;
    for (Int n = 0; n < task->items; n++) copies += task->item[n].demand;
    s->task = *task;
    s->out = memory_new(copies, sizeof(int));
    s->saved_out = memory_new(copies, sizeof(int));
    s->best_left = memory_new(copies, sizeof(int));
    s->keyed = memory_new(copies, sizeof(Keyed));
    s->used = memory_new(task->stocks, sizeof(Int));
    s->factors = memory_new(task->items, sizeof(double));
    if (!s->out || !s->saved_out || !s->best_left || !s->keyed || !s->used || !s->factors) {
        ruin_recreate_free(s);
        return NULL;
    }
    s->budget = s->best_cost = s->best_out = s->best_total = INT64_MAX;
    s->rng.state = seed;
    return s;
}

static const Twig *read_node(Search *s, Plate *plate, int parent, const Twig *twig) {
    int number = 0, item = (int)twig->item, which = (int)twig->way_or_axis;
    Int x = twig->size[0], y = twig->size[1];
    if (parent < 0)
        plate->nodes[0].along = which;
    else if (item < 0)
        number = add_child(s, plate, parent, which, x, y, item, 0);
    else
        number = add_child(s, plate, parent, plate->nodes[parent].along, x, y, item, which);
    if (item >= 0) {
        plate->filled += x * y;
        plate->parts++;
        return twig + 1;
    }
    int along = plate->nodes[number].along;
    plate->nodes[number].rest = plate->nodes[number].size[along];
    const Twig *child = twig + 1;
    for (Int n = 0; n < twig->children; n++) {
        plate->nodes[number].rest -= child->size[along];
        child = read_node(s, plate, number, child);
    }
    return child;
}

/* A plate to begin with, whose root is a blank; before ruin_recreate_begin. 0, or NO_MEMORY. */
PUBLIC Int ruin_recreate_load(Search *s, Int stock, const Twig *root) {
    if (setjmp(s->refused)) return NO_MEMORY;
    grow_plates(s);
    empty_plate(s, s->plates + s->open, (int)stock);
    read_node(s, s->plates + s->open, -1, root);
    s->used[stock]++;
    s->cost += s->task.stock[stock].cost;
    s->open++;
    return 0;
}

/* Place what is not in the plates loaded, large first. 0, or NO_MEMORY. */
PUBLIC Int ruin_recreate_begin(Search *s) {
    if (setjmp(s->refused)) return NO_MEMORY;
    Int *have = memory_new(s->task.items, sizeof(Int));
    if (!have) return NO_MEMORY;
    for (int p = 0; p < s->open; p++)
        for (int n = 0; n < s->plates[p].count; n++)
            if (s->plates[p].nodes[n].item >= 0) have[s->plates[p].nodes[n].item]++;
    s->outs = 0;
    for (int n = 0; n < s->task.items; n++)
        for (Int copy = have[n]; copy < s->task.item[n].demand; copy++) s->out[s->outs++] = n;
    memory_free(have);
    start_step(s);
    sort_out(s, 0, 0);
    s->rule = 1;
    rebuild(s, 0, 0);
    keep_best(s);
    if (s->outs == 0) s->budget = s->best_cost - 1;
    within_budget(s);
    return 0;
}

/* Steps done: fewer than asked once the answer costs no more than `enough`; or NO_MEMORY. */
PUBLIC Int ruin_recreate_run(Search *s, Int steps) {
    if (setjmp(s->refused)) return NO_MEMORY;
    Int done = 0;
    for (; done < steps && !finished(s); done++) step(s);
    return done;
}

/* From the plates as loaded, which hold all parts, to such as cost less in plate and hands together. Steps done: none
   where a part has no place; or NO_MEMORY. */
PUBLIC Int ruin_recreate_run_by_total(Search *s, Int steps) {
    if (setjmp(s->refused)) return NO_MEMORY;
    if (s->best_out || !s->best_open || !s->task.terms) return 0;
    if (s->best_total == INT64_MAX) start_by_total(s);
    for (Int done = 0; done < steps; done++) step_by_total(s);
    return steps;
}

/* Layouts of up to this total are kept from here on, until late acceptance has come down. */
PUBLIC void ruin_recreate_accept_up_to(Search *s, Int total) {
    accept_up_to(s, total);
}

/* Look only for answers that cost no more than this from now on. 0, or NO_MEMORY. */
PUBLIC Int ruin_recreate_lower_budget(Search *s, Int budget) {
    if (setjmp(s->refused)) return NO_MEMORY;
    if (budget >= s->budget) return 0;
    s->budget = budget;
    within_budget(s);
    return 0;
}

PUBLIC Result ruin_recreate_result(const Search *s) {
    Result result = {s->best_cost, s->best_out, s->best_lefts, s->best_open, 0, s->best_total};
    for (int n = 0; n < s->best_open; n++) result.nodes += s->best[n].count;
    return result;
}

static Twig *write_node(const Plate *plate, int number, Twig *twig) {
    const Node *node = plate->nodes + number;
    *twig = (Twig){node->item, node->item >= 0 ? node->way : node->along, {node->size[0], node->size[1]}, 0};
    Twig *next = twig + 1;
    for (int child = node->first; child >= 0; child = plate->nodes[child].next) {
        twig->children++;
        next = write_node(plate, child, next);
    }
    return next;
}

/* The best so far: the stock of each plate; the nodes of all plates, one after another; the items without a place. */
PUBLIC void ruin_recreate_found(const Search *s, Int *stocks, Twig *nodes, Int *out) {
    for (int n = 0; n < s->best_open; n++) {
        stocks[n] = s->best[n].stock;
        nodes = write_node(s->best + n, 0, nodes);
    }
    for (int n = 0; n < s->best_lefts; n++) out[n] = s->best_left[n];
}
