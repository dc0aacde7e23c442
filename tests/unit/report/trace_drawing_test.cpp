#include <clampbook/report/trace_drawing.h>
#include <clampbook/trace/read_trace.h>

#include "tests/support/catch.h"

#include <algorithm>
#include <sstream>

using namespace clampbook;

namespace {

report::TraceReport pull(const std::string& file, double slope) {
  std::ostringstream csv;
  csv << "angle_deg,torque_Nm\n";
  for (int i = 0; i < 400; ++i) {
    const double degrees = i * 0.5;
    const double rise = std::max(0.0, degrees - 60) * slope;
    csv << degrees << "," << (rise < 60 ? rise + 0.2 : 60 + (rise - 60) * 0.1) << "\n";
  }
  std::istringstream in(csv.str());
  trace::TraceFile read = trace::read_trace(in, file);
  report::TraceReport out{file, std::move(read.curve), {}};
  out.reading = trace::read_curve(out.curve);
  return out;
}

std::size_t count(const std::string& text, std::string_view word) {
  std::size_t out = 0;
  for (std::size_t at = text.find(word); at != std::string::npos; at = text.find(word, at + 1)) ++out;
  return out;
}

}  // namespace

TEST_CASE("curves are drawn one below the other with their marks in words") {
  const std::vector<report::TraceReport> traces{pull("one.csv", 0.8), pull("two.csv", 0.7)};
  const std::string svg = report::trace_drawing(traces, {});
  CHECK(svg.starts_with("<svg"));
  CHECK(count(svg, "<title>") >= 1);
  CHECK(count(svg, "<desc>") == 1);
  CHECK(count(svg, ">snug</text>") == 2);
  CHECK(count(svg, ">half slope</text>") == 2);
  CHECK(svg.find("one.csv: sound, peak") != std::string::npos);
  CHECK(svg == report::trace_drawing(traces, {}));  // the same bytes for the same curves
}

TEST_CASE("a file's name stays text in a drawing of its curve") {
  const std::string svg = report::trace_drawing({pull("<script>alert(1)</script>\".csv", 0.8)}, {});
  CHECK(svg.find("<script") == std::string::npos);
  CHECK(svg.find("&lt;script&gt;") != std::string::npos);
}

TEST_CASE("a curve without a rise is drawn without marks") {
  std::istringstream in("angle_deg,torque_Nm\n0,0\n1,0\n2,0\n");
  trace::TraceFile read = trace::read_trace(in, "flat.csv");
  report::TraceReport flat{"flat.csv", std::move(read.curve), {}};
  flat.reading = trace::read_curve(flat.curve);
  const std::string svg = report::trace_drawing({flat}, {});
  CHECK(svg.find("too short") != std::string::npos);
  CHECK(svg.find(">snug</text>") == std::string::npos);
  CHECK(svg.find("nan") == std::string::npos);
}
