// One name for the test framework, whose header moved between its major versions. Approx is not for us:
// it is loose and adds a margin; WithinRel and WithinAbs say what they mean.
#pragma once

#include <catch2/catch.hpp>

using Catch::Matchers::WithinAbs;
using Catch::Matchers::WithinRel;
