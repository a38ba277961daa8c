# How a room, its tests and its checks are declared. Flags belong to interface targets, never to globals.
include_guard(GLOBAL)
find_package(Threads REQUIRED)

# Warnings: what every source of ours is compiled with.
add_library(fettle_warnings INTERFACE)
target_compile_options(fettle_warnings INTERFACE -Wall -Wextra -Wconversion -Wsign-conversion -Wshadow
    # g++ 12 sees an overlap in "literal" + std::string from -O2 on that is none (GCC bug 105651).
    $<$<CXX_COMPILER_ID:GNU>:-Wno-restrict>
    $<$<BOOL:${FETTLE_WERROR}>:-Werror>)

# Instruments: sanitizers and coverage; empty in the plain presets.
add_library(fettle_instruments INTERFACE)
if(FETTLE_SANITIZE)
    set(flags -fsanitize=${FETTLE_SANITIZE} -fno-sanitize-recover=all -fno-omit-frame-pointer)
    target_compile_options(fettle_instruments INTERFACE ${flags})
    target_link_options(fettle_instruments INTERFACE ${flags})
endif()
if(FETTLE_COVERAGE)
    target_compile_options(fettle_instruments INTERFACE --coverage -fprofile-abs-path)
    target_link_options(fettle_instruments INTERFACE --coverage)
endif()

if(FETTLE_TIDY)
    find_program(FETTLE_CLANG_TIDY NAMES clang-tidy clang-tidy-14 REQUIRED)
endif()

add_custom_target(core_tests)
add_custom_target(thread_tests)

# fettle_private(TARGET): repository-root includes, warnings and instruments for one target of ours.
function(fettle_private target)
    target_include_directories(${target} PRIVATE ${PROJECT_SOURCE_DIR})
    target_link_libraries(${target} PRIVATE fettle_warnings fettle_instruments)
endfunction()

# fettle_room(NAME SOURCES ... DEPENDS rooms... LIBS aliases... [FREESTANDING] [FAST])
#   makes fettle_<name>, alias fettle::<name>. Headers are included from the repository root.
#   Without SOURCES it is header only. FREESTANDING rooms are compiled a second time as strict C++14 without
#   a hosted library, so that what an 8-bit compiler would refuse breaks the build here.
function(fettle_room name)
    cmake_parse_arguments(ROOM "FREESTANDING;FAST" "" "SOURCES;DEPENDS;LIBS" ${ARGN})
    if(ROOM_UNPARSED_ARGUMENTS)
        message(FATAL_ERROR "fettle_room(${name}): not understood: ${ROOM_UNPARSED_ARGUMENTS}")
    endif()
    set(target fettle_${name})
    set(scope PUBLIC)
    if(ROOM_SOURCES)
        add_library(${target} STATIC ${ROOM_SOURCES})
        fettle_private(${target})
        if(FETTLE_TIDY)
            set_target_properties(${target} PROPERTIES CXX_CLANG_TIDY "${FETTLE_CLANG_TIDY};--quiet")
        endif()
    else()
        set(scope INTERFACE)
        add_library(${target} INTERFACE)
    endif()
    # Freestanding rooms and what is measured against bare libraries: as fast in the plain debug build, whose tests run
    # them millions of times and in an emulated machine. The sanitizers' builds choose for themselves.
    if(ROOM_FAST AND NOT FETTLE_SANITIZE AND NOT FETTLE_COVERAGE)
        target_compile_options(${target} PRIVATE $<$<CONFIG:Debug>:-O2>)
    endif()
    add_library(fettle::${name} ALIAS ${target})
    target_include_directories(${target} ${scope} ${PROJECT_SOURCE_DIR})
    target_link_libraries(${target} ${scope} ${ROOM_LIBS})
    foreach(dependency ${ROOM_DEPENDS})
        target_link_libraries(${target} ${scope} fettle::${dependency})
    endforeach()
    if(ROOM_FREESTANDING AND ROOM_SOURCES)
        fettle_freestanding_gate(${name} ${ROOM_SOURCES})
    endif()
endfunction()

function(fettle_freestanding_gate name)
    set(gate fettle_${name}_cxx14)
    add_library(${gate} OBJECT ${ARGN})
    fettle_private(${gate})
    set_target_properties(${gate} PROPERTIES CXX_STANDARD 14 CXX_EXTENSIONS OFF)
    target_compile_options(${gate} PRIVATE -pedantic-errors -ffreestanding -fno-exceptions -fno-rtti)
    list(TRANSFORM ARGN PREPEND ${CMAKE_CURRENT_SOURCE_DIR}/)
    set_property(GLOBAL APPEND PROPERTY FETTLE_FREESTANDING_SOURCES ${ARGN})
endfunction()

# fettle_tests(NAME SOURCES ... DEPENDS rooms... LIBS aliases... [THREADS])
#   makes the doctest binary tests_<name>, with the one main() of tests/support, and registers it.
#   Tests of a room of core are run under the address sanitizer too (target core_tests), those marked THREADS
#   under the thread sanitizer (target thread_tests).
function(fettle_tests name)
    cmake_parse_arguments(TESTS "THREADS" "" "SOURCES;DEPENDS;LIBS" ${ARGN})
    if(TESTS_UNPARSED_ARGUMENTS)
        message(FATAL_ERROR "fettle_tests(${name}): not understood: ${TESTS_UNPARSED_ARGUMENTS}")
    endif()
    set(target tests_${name})
    add_executable(${target} ${TESTS_SOURCES})
    fettle_private(${target})
    target_compile_definitions(${target} PRIVATE FETTLE_ROOT="${PROJECT_SOURCE_DIR}"
        FETTLE_BUILD="${CMAKE_BINARY_DIR}")
    target_link_libraries(${target} PRIVATE fettle_test_main fettle_dep::doctest ${TESTS_LIBS})
    foreach(dependency ${TESTS_DEPENDS})
        target_link_libraries(${target} PRIVATE fettle::${dependency})
    endforeach()
    if(app IN_LIST TESTS_DEPENDS)
        target_precompile_headers(${target} PRIVATE <doctest/doctest.h> ${PROJECT_SOURCE_DIR}/app/views/views.hpp)
    endif()
    add_test(NAME ${target} COMMAND ${target})
    set(labels doctest)
    if(IS_DIRECTORY ${PROJECT_SOURCE_DIR}/core/${name})
        list(APPEND labels core)
        add_dependencies(core_tests ${target})
    endif()
    if(TESTS_THREADS)
        list(APPEND labels threads)
        add_dependencies(thread_tests ${target})
    endif()
    set_tests_properties(${target} PROPERTIES LABELS "${labels}" ENVIRONMENT "LC_ALL=C.UTF-8")
    set_property(GLOBAL APPEND PROPERTY FETTLE_TEST_BINARIES ${target})
endfunction()

# fettle_script_test(NAME COMMAND...): a check that is a script; counted by tests/run.sh as one.
# Exit 0 passed, 77 skipped (the script says why), anything else failed.
function(fettle_script_test name)
    add_test(NAME ${name} COMMAND ${ARGN})
    set_tests_properties(${name} PROPERTIES LABELS script SKIP_RETURN_CODE 77 ENVIRONMENT "LC_ALL=C.UTF-8")
endfunction()
