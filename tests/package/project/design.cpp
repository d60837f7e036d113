// design SPEC FOLDER: the whole way down, to the module that holds the CAD kernel, from a program outside the sources.
#include <chamber/job/design.hpp>
#include <cstdio>

int main(int argc, char** argv) {
  using namespace chamber;
  if (argc != 3) return 2;
  auto spec = job::load_spec(argv[1]);
  if (!spec) return std::fprintf(stderr, "%s\n", to_text(spec.error().front()).c_str()), 3;
  job::DesignOptions options;
  options.folder = argv[2];
  const auto design = job::design(std::move(*spec), options);
  if (!design) return std::fputs(job::to_text(design.error(), argv[1]).c_str(), stderr), 1;
  std::printf("solid_cc %.4f\nfiles %zu\n", design->volumes.solid, design->files.size());
}
