"""Events of all sites, how they stand, and the tally."""

from alembic import op

revision = "1"
down_revision = None
branch_labels = None
depends_on = None

_EVENTS = """
CREATE TABLE office.events (
    site text COLLATE "C" NOT NULL,
    month date NOT NULL CHECK (extract(day FROM month) = 1),
    id text COLLATE "C" NOT NULL,
    at text COLLATE "C" NOT NULL,
    station text NOT NULL,
    who text NOT NULL,
    kind text NOT NULL,
    version bigint NOT NULL,
    payload text NOT NULL,
    replica text COLLATE "C" NOT NULL,
    number bigint NOT NULL,
    after text NOT NULL,
    hash bytea NOT NULL CHECK (octet_length(hash) = 16),
    PRIMARY KEY (site, month, id)
) PARTITION BY RANGE (month);
COMMENT ON TABLE office.events IS
    'Everything that happened at every site, byte for byte. Only added to.';
COMMENT ON COLUMN office.events.month IS
    'The first day of the month of at, in UTC; 0001-01-01 where a clock was too far off.';
CREATE TABLE office.events_other PARTITION OF office.events DEFAULT;
ALTER TABLE office.events_other ENABLE ROW LEVEL SECURITY;
CREATE INDEX events_of_replica ON office.events (site, replica, number);

CREATE TABLE office.disputed (
    site text COLLATE "C" NOT NULL,
    id text COLLATE "C" NOT NULL,
    hash bytea NOT NULL CHECK (octet_length(hash) = 16),
    line text NOT NULL,
    arrived timestamptz NOT NULL DEFAULT now(),
    PRIMARY KEY (site, id, hash)
);
COMMENT ON TABLE office.disputed IS 'Entries whose id is that of another entry with other content.';

CREATE TABLE office.standing (
    site text COLLATE "C" NOT NULL,
    replica text COLLATE "C" NOT NULL,
    events bigint NOT NULL,
    last bigint NOT NULL,
    sum numeric NOT NULL,
    own bigint NOT NULL,
    began timestamptz NOT NULL,
    arrived timestamptz NOT NULL,
    PRIMARY KEY (site, replica)
) WITH (fillfactor = 50);
COMMENT ON TABLE office.standing IS 'What office.events holds, by site and copy of the memo.';
COMMENT ON COLUMN office.standing.own IS 'Of kinds that one site never passes on to another.';

CREATE TABLE office.sites (
    site text COLLATE "C" PRIMARY KEY,
    title text NOT NULL DEFAULT '',
    added timestamptz NOT NULL DEFAULT now()
);
"""
_TALLY = """
CREATE TABLE office.tally_sites (
    site text COLLATE "C" PRIMARY KEY,
    upto jsonb NOT NULL,
    events bigint NOT NULL,
    state text NOT NULL,
    same_as text COLLATE "C" NOT NULL DEFAULT '',
    troubles jsonb NOT NULL DEFAULT '{}',
    names jsonb NOT NULL DEFAULT '[]',
    tallied timestamptz NOT NULL
) WITH (fillfactor = 50);
CREATE TABLE office.tally_rows (
    site text COLLATE "C" NOT NULL,
    "row" text COLLATE "C" NOT NULL,
    number bigint NOT NULL,
    state text NOT NULL,
    pieces bigint NOT NULL,
    "left" bigint NOT NULL,
    cut bigint NOT NULL,
    trouble bigint NOT NULL,
    held boolean NOT NULL,
    inches text NOT NULL,
    section text NOT NULL,
    place text NOT NULL,
    called_on date NOT NULL,
    line text NOT NULL,
    PRIMARY KEY (site, "row")
) WITH (fillfactor = 80);
COMMENT ON COLUMN office.tally_rows.cut IS 'At this site; what came from another is counted there.';
COMMENT ON COLUMN office.tally_rows.inches IS 'The exact length, as 741/8.';
CREATE TABLE office.tally_days (
    site text COLLATE "C" NOT NULL,
    day date NOT NULL,
    called bigint NOT NULL,
    cut bigint NOT NULL,
    trouble bigint NOT NULL,
    PRIMARY KEY (site, day)
) WITH (fillfactor = 50);
CREATE TABLE office.tally_loads (
    site text COLLATE "C" NOT NULL,
    month date NOT NULL,
    id text COLLATE "C" NOT NULL,
    PRIMARY KEY (site, id)
);
COMMENT ON TABLE office.tally_loads IS 'Loads of a site of which no other site was told yet.';
CREATE TABLE office.tally_short (
    site text COLLATE "C" NOT NULL,
    section text NOT NULL,
    inches text NOT NULL,
    boards bigint NOT NULL,
    PRIMARY KEY (site, section, inches)
);
COMMENT ON TABLE office.tally_short IS
    'Boards that a rack lacks for what is open; without inches: pieces that no board holds.';
"""
_VIEWS = """
CREATE VIEW office.open_rows WITH (security_invoker = true) AS
    SELECT site, number, section, inches, pieces, cut, "left" AS open, trouble, held, place,
        state = 'doubtful' AS asks, called_on
    FROM office.tally_rows WHERE state IN ('open', 'doubtful');
CREATE VIEW office.by_section WITH (security_invoker = true) AS
    SELECT site, section,
        coalesce(sum("left") FILTER (WHERE state = 'open'), 0) AS open,
        sum(cut) AS cut,
        sum(trouble) AS trouble,
        count(*) FILTER (WHERE state = 'doubtful') AS asks
    FROM office.tally_rows GROUP BY site, section;
CREATE VIEW office.by_site WITH (security_invoker = true) AS
    SELECT t.site, t.same_as, t.events, t.tallied,
        coalesce(sum(r.open), 0) AS open, coalesce(sum(r.cut), 0) AS cut,
        coalesce(sum(r.trouble), 0) AS trouble, coalesce(sum(r.asks), 0) AS asks,
        (SELECT coalesce(sum(s.boards), 0) FROM office.tally_short s WHERE s.site = t.site) AS short
    FROM office.tally_sites t LEFT JOIN office.by_section r ON r.site = t.site
    GROUP BY t.site, t.same_as, t.events, t.tallied;
CREATE VIEW office.by_day WITH (security_invoker = true) AS
    SELECT site, day, called, cut, trouble FROM office.tally_days
    WHERE (called, cut, trouble) <> (0, 0, 0);
CREATE VIEW office.short WITH (security_invoker = true) AS
    SELECT site, section, inches, boards FROM office.tally_short;
"""
_RULES = """
CREATE FUNCTION office.only_added() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION 'what happened is only added to' USING ERRCODE = 'insufficient_privilege';
END $$;
CREATE TRIGGER only_added BEFORE UPDATE OR DELETE ON office.events
    FOR EACH ROW EXECUTE FUNCTION office.only_added();
CREATE TRIGGER only_added_at_all BEFORE TRUNCATE ON office.events
    FOR EACH STATEMENT EXECUTE FUNCTION office.only_added();
CREATE TRIGGER only_added BEFORE UPDATE OR DELETE ON office.disputed
    FOR EACH ROW EXECUTE FUNCTION office.only_added();
CREATE TRIGGER only_added_at_all BEFORE TRUNCATE ON office.disputed
    FOR EACH STATEMENT EXECUTE FUNCTION office.only_added();

CREATE FUNCTION office.note_standing() RETURNS trigger LANGUAGE plpgsql
    SECURITY DEFINER SET search_path = pg_catalog AS $$
BEGIN
    INSERT INTO office.standing AS known (site, replica, events, last, sum, own, began, arrived)
        SELECT site, replica, count(*), max(number),
            sum(('x' || encode(substring(hash FROM 1 FOR 8), 'hex'))::bit(64)::bigint),
            count(*) FILTER (WHERE kind NOT IN
                ('sent', 'arrived', 'load refused', 'event undone', 'event redone')),
            clock_timestamp(), clock_timestamp()
        FROM fresh GROUP BY site, replica ORDER BY site, replica
    ON CONFLICT (site, replica) DO UPDATE SET
        events = known.events + excluded.events,
        last = greatest(known.last, excluded.last),
        sum = known.sum + excluded.sum,
        own = known.own + excluded.own,
        arrived = excluded.arrived;
    IF FOUND THEN
        PERFORM pg_notify('office', '');
    END IF;
    RETURN NULL;
END $$;
CREATE TRIGGER note_standing AFTER INSERT ON office.events
    REFERENCING NEW TABLE AS fresh FOR EACH STATEMENT EXECUTE FUNCTION office.note_standing();
"""
_TABLES = (
    "events disputed standing sites"
    " tally_sites tally_rows tally_days tally_loads tally_short".split()
)
_VIEW_NAMES = "open_rows by_section by_site by_day short".split()
_WRITTEN_BY_SITES = ("events", "disputed")


def upgrade() -> None:
    """Lay the tables out. The owner of them is whoever does so."""
    bind = op.get_bind()
    for script in (_EVENTS, _TALLY, _VIEWS, _RULES):
        bind.exec_driver_sql(script, execution_options={"no_parameters": True})
    for table in _TABLES:
        op.execute(f"ALTER TABLE office.{table} ENABLE ROW LEVEL SECURITY")
        op.execute(f"ALTER TABLE office.{table} FORCE ROW LEVEL SECURITY")
        op.execute(
            f"CREATE POLICY office_all ON office.{table} TO cutmemo_office"
            " USING (true) WITH CHECK (true)"
        )
        op.execute(
            f"CREATE POLICY orderers_read ON office.{table} FOR SELECT TO cutmemo_orderers"
            " USING (true)"
        )
        op.execute(
            f"CREATE POLICY own_read ON office.{table} FOR SELECT TO cutmemo_sites"
            " USING (site = current_user)"
        )
    for table in _WRITTEN_BY_SITES:
        op.execute(
            f"CREATE POLICY own_add ON office.{table} FOR INSERT TO cutmemo_sites"
            " WITH CHECK (site = current_user)"
        )
        op.execute(f"GRANT INSERT ON office.{table} TO cutmemo_sites")
    names = ", ".join(f"office.{each}" for each in (*_TABLES, *_VIEW_NAMES))
    op.execute("REVOKE ALL ON ALL TABLES IN SCHEMA office FROM PUBLIC")
    op.execute("GRANT USAGE ON SCHEMA office TO cutmemo_sites, cutmemo_orderers")
    op.execute(f"GRANT SELECT ON {names} TO cutmemo_sites, cutmemo_orderers")
    op.execute("GRANT SELECT ON office.layout TO cutmemo_sites, cutmemo_orderers")
    op.execute("REVOKE ALL ON ALL FUNCTIONS IN SCHEMA office FROM PUBLIC")


def downgrade() -> None:
    """Refuse: what happened is never thrown away by the program."""
    raise NotImplementedError("a database that holds what happened is not taken apart")
