"""The check of licences proves itself on expressions as crates write them."""

import unittest

from check_licences import may_ship


class Licences(unittest.TestCase):
    def test_a_free_choice_passes(self):
        for expression in ("MIT", "MIT/Apache-2.0", "GPL-3.0 OR MIT", "(MIT OR GPL-3.0) AND Unicode-3.0",
                           "Apache-2.0 WITH LLVM-exception OR Apache-2.0 OR MIT"):  # fmt: skip
            self.assertTrue(may_ship(expression), expression)

    def test_what_binds_the_program_is_refused(self):
        for expression in ("GPL-3.0", "MIT AND GPL-3.0", "LGPL-3.0 OR AGPL-3.0", "(MIT OR GPL-3.0) AND SSPL-1.0"):
            self.assertFalse(may_ship(expression), expression)


if __name__ == "__main__":
    unittest.main()
