"""``whirlwise page``: all journeys in the browser, by looking and tapping.

The page measures and reckons nothing itself: it calls what the commands call.

::

    serving.py    sockets, the server's life, the browser; ends with Ctrl-C
    app.py        the application object: guard, screens, static files, what the lifespan starts
    guard.py      every request passes it: Host, Origin, key, security headers
    keys.py       one-time keys, and the sessions that they open
    state.py      what all screens share, and how a screen reaches it
    screens/      one module for each screen: its routes and what its template is given
    rendering.py  a template and its words become a response
    words.py      all words of the page, from ``words/en.toml``
    uploads.py    a body that is streamed in, its kind told by its content (``file_kinds.py``)
    wheels.py     the wheels that are kept, each with its file as the commands know it
    media.py      the user's folder of pictures and clips; ``position.py`` takes out where they were taken
    jobs.py       long work: a queue, and how far each job is; ``lane.py`` sits with a worker process
                  (``worker.py``), passes on progress, and stops it
    tasks/        what a worker can do: one module for each kind of job
    plain.py      sentences of the commands, for people who have no command line
    translating/  the page in another language
    templates/, static/   what the browser gets; nothing in it asks an outside address

The process that serves imports no picture library, so that the page is there at once; whatever needs one
runs in a worker. Modules under ``tasks/`` are imported by workers alone, and so are ``whirlwise.vision`` and
most of ``whirlwise.calc``: a screen that reckons sends a job too, which takes milliseconds once the worker is
warm.

How to add a screen
-------------------
1. **Route**: a module in ``screens/`` with ``ROUTES``, a list of Starlette routes; name it in
   ``screens/__init__.py``. ``state_of(request)`` gives folder, jobs and keys.
2. **Template**: ``templates/NAME.html`` extends ``base.html`` and fills the blocks ``main`` and ``modules``;
   the route returns ``rendered(request, "NAME.html", here="NAME")``.
3. **Words**: a section ``[NAME]`` in ``words/en.toml``; in the template ``{{ w("NAME.title") }}``. Nowhere
   else stand words. A test finds names that are missing, and words that nobody says. What a worker tells is
   told as it is, by way of ``State.told``, which knows other languages.
4. **JavaScript**: ``static/NAME.js``, a module that imports ``words.js`` (the sections named in the
   template's ``sections``), ``server.js`` (ask, send a file, follow a job), ``dom.js`` (make elements). No
   inline script or style: the content security policy forbids both.
5. **Job**, where something is measured or reckoned: a module in ``tasks/`` with ``run(order, tell)``, which
   gets and gives what JSON can hold; name it in ``TASKS`` of ``tasks/__init__.py``. An expected trouble is
   raised as one of the errors that commands know, and reaches the person as its sentence. What is to
   remember something from job to job is a class, whose one object stays with the worker
   (``tasks/photo.py``). ``tell`` ends a job that was stopped: call it now and then.
6. **Navigation**: a line in ``NAVIGATION`` of ``rendering.py``.
7. **Tests**: the address in ``SCREENS`` of ``tests/page/test_screens.py``: axe looks at it, and it is
   photographed at phone and desktop width, light and dark.
"""
