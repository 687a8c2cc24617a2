/* What all files of the kernel share: whole numbers, memory that may be refused, and what Python may call. */

#ifndef STRIPPLAN_KERNEL_H
#define STRIPPLAN_KERNEL_H

#include <stddef.h>
#include <stdint.h>
#include <string.h>

#ifdef _WIN32
#define PUBLIC __declspec(dllexport)
#else
#define PUBLIC __attribute__((visibility("default")))
#endif

typedef int64_t Int;

/* In place of a count: memory was refused, and what was asked cannot be used any more but to be freed. */
enum { NO_MEMORY = -1 };

/* Room for `count` things of a size, all bytes 0; NULL = refused. */
void *memory_new(Int count, size_t size);

/* The same things in room for `count`, the new bytes as they come; NULL = refused, and the old room stays. */
void *memory_more(void *old, Int count, size_t size);

void memory_free(void *room);

static inline Int smaller(Int a, Int b) { return a < b ? a : b; }

static inline Int larger(Int a, Int b) { return a > b ? a : b; }

#endif
