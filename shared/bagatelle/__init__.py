"""Bagatelle makes a short-day plan of a musician's normal practice routine.

The public face is small: decode a request, load the instruments, make a plan.

>>> from bagatelle import Instruments, compress, decode_request
>>> request = decode_request(b'{"routine": {"blocks": [{"title": "Sonatina", "minutes": 40}]}}')
>>> compress(request, Instruments.none()).plan.budget_seconds
600
"""
