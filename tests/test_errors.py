from signplan.errors import InputError, Problem, SignplanError


def test_a_problem_says_its_place_and_shows_the_line():
    problem = Problem(
        file="job.toml", message="sign.web: must be more than 0", line=7, column=10, excerpt="   web = -1"
    )
    assert str(problem) == "job.toml:7:10: sign.web: must be more than 0\n       web = -1\n             ^"


def test_a_problem_without_a_place_says_its_file():
    assert str(Problem(file="job.toml", message="no such file")) == "job.toml: no such file"
    assert str(Problem(file="job.toml", message="is odd", line=3)) == "job.toml:3: is odd"


def test_an_input_error_tells_all_of_its_problems_in_order():
    problems = Problem(file="b", message="second"), Problem(file="a", message="first")
    error = InputError(*problems)
    assert error.problems == problems
    assert str(error) == "b: second\na: first"
    assert isinstance(error, SignplanError)
    assert error.exit_code == 2
