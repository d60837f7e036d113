// Read by the leak sanitizer, idle without it: the kernel keeps documents and tables of its own to the end of the
// process.
extern "C" const char* __lsan_default_suppressions();
extern "C" const char* __lsan_default_suppressions() {
  return "leak:libTK";
}
