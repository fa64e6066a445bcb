/* Wine 8 lacks this library, whose one function Rust's standard library calls. It goes into the Wine prefix of
   `cargo xtask package --check` and into no package. */
#include <stddef.h>

/* RtlGenRandom by its exported name: advapi32, Windows XP and later. */
unsigned char __stdcall SystemFunction036(void *buffer, unsigned long length);

__declspec(dllexport) int ProcessPrng(unsigned char *buffer, size_t length)
{
    return SystemFunction036(buffer, (unsigned long)length);
}
