using RenderGraph.Cli.Analysis;
using RenderGraph.Cli.Console;
using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Measures;
using RenderGraph.Nodes.Measures.Checks;
using RenderGraph.Nodes.Measures.Collisions;
using RenderGraph.Nodes.Measures.Layers;
using RenderGraph.Nodes.Measures.LowEnd;
using RenderGraph.Nodes.Measures.Parts;
using RenderGraph.Nodes.Measures.Pitch;
using static System.FormattableString;

namespace RenderGraph.Cli.Proposing;

/// <summary>
/// Makes a proposal from an analysis: each treatment that the measures suggest is rendered and stays only if it helped by its own measure. The depth of the keyed cuts is the smallest, on a step of half a decibel,
/// that reaches the clearance wanted.
/// </summary>
internal sealed class Proposer(
    StemFolder folder, SongAnalysis analysis, ProposalWish wish, Func<ProposedGraph, TrialMeasures> render, Func<ProposedGraph, ReachedMeasures> reach)
{
    /// <summary>Deeper is not proposed.</summary>
    public const double MostDepthDb = 8;

    private const double DepthStepDb = 0.5, RumbleHz = 25, LeastGainDb = 0.5, LeastChangeDb = 0.1, MostRatioLossDb = 1, CeilingDbfs = -1;

    private readonly List<Treatment> _treatments = [];
    private readonly List<Treatment> _tried = [];
    private readonly List<string> _notes = [];
    private TrialMeasures _now = null!;

    /// <summary>Makes it.</summary>
    public Proposal Make()
    {
        if (analysis.Anchor is null)
            return Refused("no low part that strikes was found, so nobody can be said to own the low end. If there is one, name it with --anchor");
        if (analysis.Collisions is not { } collisions || collisions.Anchor.Hits.Count == 0)
            return Refused($"{Name(analysis.Anchor.Stem)} is the anchor, but {(analysis.Anchor.Hits.Count == 0 ? "no hit of it was found" : "no hit of it leaves a tone whose frequency could be measured")}");

        var wanted = WantedTreatments(collisions).Where(together => together.Length > 0).ToList();
        var cuts = WantedCuts(collisions).ToList();
        if (wanted.Count == 0 && (!IsPlaceCertain || cuts.Count == 0 || collisions.ClearanceDb >= wish.ClearanceDb))
            return Nothing(null, collisions);

        var before = _now = render(Graph());
        foreach (var treatment in wanted)
            Try(treatment);
        Cut(cuts);
        if (_treatments.Count == 0)
            return Nothing(before, collisions);

        var gainDb = _now.SongPeakDbfs > CeilingDbfs ? -Math.Ceiling((_now.SongPeakDbfs - CeilingDbfs) / DepthStepDb) * DepthStepDb : 0;
        var notes = Notes(collisions);
        var gates = reach(Graph()).Gates(ProposedGraph.Mix, Name(collisions.Anchor.Stem), gainDb).ToList();
        return new(Graph() with { Head = Head(before), MixGainDb = gainDb, Gates = gates }, null, [.. _treatments], _tried, before, _now, notes);
    }

    // A part that changes its notes has no one place at which the others could be cut.
    private bool IsPlaceCertain => analysis.Anchor!.IsFrequencyTold || analysis.Anchor.Dominant!.Confidence >= DominantFrequency.LowConfidence;

    private Proposal Nothing(TrialMeasures? measures, CollisionMap collisions) => new(
        null, IsPlaceCertain ? null : Invariant($"{Name(analysis.Anchor!.Stem)} owns the low end, but its hits do not agree on a frequency (confidence {analysis.Anchor.Dominant!.Confidence:0.00}): there is no one place at which the others could make room"),
        [], _tried, measures, measures, Notes(collisions));

    private static Proposal Refused(string reason) => new(null, reason, [], [], null, null, []);

    // Everything but keyed cuts, in the order of work: first what is not needed, then what stands against each other, then what is not low.
    private IEnumerable<Treatment[]> WantedTreatments(CollisionMap collisions)
    {
        var anchor = collisions.Anchor;
        foreach (var group in analysis.Layers)
        {
            yield return
            [
                .. group.Layers.Where(layer => layer.Verdict == LayerVerdict.Mute && layer.Stem != anchor.Stem)
                    .Select(layer => new Treatment(layer.Stem, TreatmentKind.Mute, Words.Why(layer, Name(group.First)))),
            ];
        }

        foreach (var (group, layer) in analysis.Layers.SelectMany(group => group.Layers.Select(layer => (group, layer))).Where(pair => pair.layer.Stem != anchor.Stem))
        {
            var why = Words.Why(layer, Name(group.First));
            switch (layer.Verdict)
            {
                case LayerVerdict.HighPass:
                    yield return [new(layer.Stem, TreatmentKind.HighPass, $"{why} What it has above is its own.", Math.Max(100, Tens(2 * anchor.FrequencyHz)))];
                    break;
                case LayerVerdict.TurnOver:
                    yield return
                    [
                        new(layer.Stem, TreatmentKind.Polarity, why),
                        .. layer.ShiftMs == 0 ? (Treatment[])[] : [new(layer.Stem, TreatmentKind.Delay, $"It is not in time with {Name(group.First)}.", layer.ShiftMs)],
                    ];
                    break;
                case LayerVerdict.Shift:
                    yield return [new(layer.Stem, TreatmentKind.Delay, why, layer.ShiftMs)];
                    break;
            }
        }

        foreach (var check in analysis.Checks.Where(check => check.Kind == CheckKind.Duplicate && check.Stem != anchor.Stem && !IsInALayer(check.Stem)))
            yield return [new(check.Stem, TreatmentKind.Mute, $"It holds the same samples as {Name(check.Other!.Value)}.")];

        foreach (var part in collisions.Stems.Where(part => !IsInALayer(part.Stem)))
        {
            if (part.Remedy.Kind == RemedyKind.Polarity)
                yield return [new(part.Stem, TreatmentKind.Polarity, Invariant($"It cancels {Name(anchor.Stem)} at the hits, at a phase that stays ({Math.Round(part.PhaseDegrees ?? 0):0} degrees)."))];
            if (part.Remedy.Kind == RemedyKind.Shift)
                yield return [new(part.Stem, TreatmentKind.Delay, Invariant($"It cancels {Name(anchor.Stem)} at the hits, at a phase that stays ({Math.Round(part.PhaseDegrees ?? 0):0} degrees)."), part.Remedy.ShiftMs)];
            if (part.Remedy.Kind == RemedyKind.HighPass)
                yield return [new(part.Stem, TreatmentKind.HighPass, "It has no low note of its own, but covers the anchor.", HighPassHz(part.Stem, collisions))];
        }

        foreach (var check in analysis.Checks.Where(check => check.Kind is CheckKind.Subsonic or CheckKind.Dc))
        {
            yield return
            [
                new(
                    check.Stem, TreatmentKind.HighPass,
                    check.Kind == CheckKind.Dc ? "It has a constant offset." : "It has sound below 20 Hz, which nobody hears and which costs headroom.", RumbleHz),
            ];
        }
    }

    private IEnumerable<int> WantedCuts(CollisionMap collisions) =>
        !IsPlaceCertain ? [] : collisions.Stems.Where(part => part.Kind != CollisionKind.Clear && part.Remedy.Kind != RemedyKind.HighPass).OrderByDescending(part => part.Overlap).Select(part => part.Stem);

    // What belongs together is tried together.
    private void Try(Treatment[] together)
    {
        // A stem that is left out, or high-passed already, needs no more.
        var treatment = together[0];
        if (_treatments.Exists(done => done.Stem == treatment.Stem && (done.Kind == TreatmentKind.Mute || done.Kind == treatment.Kind)))
            return;
        _treatments.AddRange(together);
        var after = render(Graph());
        _treatments.RemoveRange(_treatments.Count - together.Length, together.Length);
        var effect = $"{(together.Select(part => part.Stem).Distinct().Count() > 1 ? "all of them together " : "")}{after.ChangeFrom(_now)}";
        var tried = together.Select(part => part with { Effect = effect }).ToList();
        if (!Helps(treatment, after))
        {
            // Layers that are not needed all at once may not be needed one by one.
            if (treatment.Kind == TreatmentKind.Mute && together.Length > 1)
            {
                foreach (var one in together)
                    Try([one]);
                return;
            }

            _tried.AddRange(tried);
            return;
        }

        _treatments.AddRange(tried);
        _now = after;
    }

    private bool Helps(Treatment treatment, TrialMeasures after)
    {
        var (lowEnd, peak) = (after.LowEndDbfs - _now.LowEndDbfs, after.PeakDbfs - _now.PeakDbfs);
        return treatment.Kind switch
        {
            // One part less must not cost more low end than it saves of the peak.
            TreatmentKind.Mute => lowEnd - peak >= -MostRatioLossDb,
            TreatmentKind.Polarity or TreatmentKind.Delay => Math.Max(lowEnd, after.OwnDbfs - _now.OwnDbfs) >= LeastGainDb,

            // A high-pass turns phases, and can raise peaks.
            _ => peak <= LeastChangeDb
                && (peak <= -LeastChangeDb || after.ClearanceDb >= _now.ClearanceDb + LeastChangeDb || (treatment.Number == RumbleHz && after.RumbleDbfs <= _now.RumbleDbfs - 1)),
        };
    }

    // All cuts have one depth: the smallest that reaches the clearance. Then those are left out without which it is reached as well.
    private void Cut(List<int> stems)
    {
        stems.RemoveAll(stem => _treatments.Exists(done => done.Stem == stem && done.Kind == TreatmentKind.Mute));
        if (stems.Count == 0 || _now.ClearanceDb >= wish.ClearanceDb)
            return;

        var (before, depthDb) = (_now, MostDepthDb);
        var after = WithCuts(stems, depthDb);
        if (after.ClearanceDb >= wish.ClearanceDb)
        {
            var (low, high) = (0, (int)(MostDepthDb / DepthStepDb));
            while (high - low > 1)
            {
                var middle = (low + high) / 2;
                if (WithCuts(stems, middle * DepthStepDb) is var tried && tried.ClearanceDb >= wish.ClearanceDb)
                    (high, after) = (middle, tried);
                else
                    low = middle;
            }

            depthDb = high * DepthStepDb;
        }

        // The least in the way first.
        foreach (var stem in stems.AsEnumerable().Reverse().ToList())
        {
            if (stems.Count == 1)
                break;
            var others = stems.Where(other => other != stem).ToList();
            var without = WithCuts(others, depthDb);
            if (without.ClearanceDb < Math.Min(wish.ClearanceDb, after.ClearanceDb - LeastChangeDb))
                continue;
            _tried.Add(CutOf(stem, depthDb) with { Effect = $"without it {after.ChangeFrom(without).Replace("no change", "nothing changes", StringComparison.Ordinal)}" });
            (stems, after) = (others, without);
        }

        var cuts = stems.ConvertAll(stem => CutOf(stem, depthDb) with { Effect = stems.Count == 1 ? after.ChangeFrom(before) : $"all keyed cuts together {after.ChangeFrom(before)}" });
        if (after.ClearanceDb < before.ClearanceDb + LeastGainDb)
        {
            _tried.AddRange(cuts);
            return;
        }

        _treatments.AddRange(cuts);
        _now = after;
        if (after.ClearanceDb < wish.ClearanceDb)
            _notes.Add(Invariant($"At {MostDepthDb:0} dB, the most that is proposed, the clearance is {after.ClearanceDb:0.0} dB and not {wish.ClearanceDb:0.#}: what is left is a matter of notes, sounds or levels."));
    }

    private TrialMeasures WithCuts(List<int> stems, double depthDb)
    {
        var cuts = stems.ConvertAll(stem => CutOf(stem, depthDb));
        _treatments.AddRange(cuts);
        var after = render(Graph());
        _treatments.RemoveRange(_treatments.Count - cuts.Count, cuts.Count);
        return after;
    }

    private Treatment CutOf(int stem, double depthDb)
    {
        var part = analysis.Collisions!.Stems.First(part => part.Stem == stem);
        return new(
            stem, TreatmentKind.KeyedCut,
            Invariant($"It covers {100 * part.Overlap:0} % of {Name(analysis.Anchor!.Stem)} at its hits{(part.PartDb is { } level ? Invariant($", at {Say.Decimal(level)} dB against it") : "")}; while it hits, it makes room."),
            depthDb);
    }

    private ProposedGraph Graph() => new(
        folder.Title, folder.SampleRateHz, folder.Stems, wish.StemsFolder, analysis.Anchor!.Stem, analysis.Collisions!.Anchor.Layers, analysis.Anchor.Dominant!.FrequencyHz,
        AnchorReason(), [], [.. Enumerable.Range(0, folder.Stems.Count).Select(About)], [.. _treatments], 0);

    private string AnchorReason()
    {
        var anchor = analysis.Anchor!;
        return Invariant($"{(anchor.IsTold ? "Named by you" : Invariant($"Found, confidence {anchor.StemConfidence:0.00}"))}: {anchor.Hits.Count} hits at {anchor.Dominant!.FrequencyHz:0.0} Hz ({Note.NearestTo(anchor.Dominant.FrequencyHz)}), confidence {anchor.Dominant.Confidence:0.00}.");
    }

    private List<string> Head(TrialMeasures before) =>
    [
        "Proposed by rendergraph from what it measured of the stems; each choice was rendered and kept because it helped. It is yours to change.",
        Invariant($"At the hits of {Name(analysis.Anchor!.Stem)}: clearance {Say.Decimal(before.ClearanceDb)} dB before, {Say.Decimal(_now.ClearanceDb)} dB after; peak {Say.Decimal(before.PeakDbfs)} dBFS before, {Say.Decimal(_now.PeakDbfs)} dBFS after."),
        .. _tried.Select(tried => $"Tried, did not help: {Name(tried.Stem)}, {tried.Words} ({tried.Effect})."),
        .. _notes,
    ];

    private List<string> Notes(CollisionMap collisions)
    {
        var untouched = Enumerable.Range(0, folder.Stems.Count)
            .Where(stem => !_treatments.Exists(treatment => treatment.Stem == stem) && stem != collisions.Anchor.Stem).Select(Name).ToList();
        return
        [
            .. _notes,
            .. IsPlaceCertain || _treatments.Count == 0 ? (string[])[] : [Invariant($"No keyed cut is proposed: the hits of {Name(analysis.Anchor!.Stem)} do not agree on a frequency (confidence {analysis.Anchor.Dominant!.Confidence:0.00}).")],
            .. untouched.Count == 0 ? (string[])[] : [$"Left as they are: {string.Join(", ", untouched)}."],
            .. analysis.Checks.Where(check => check.Kind is CheckKind.Clipped or CheckKind.SidesCancel or CheckKind.AlreadyDucked or CheckKind.Start or CheckKind.Length or CheckKind.Silent)
                .Select(check => Words.Of(check, analysis.Map)),
        ];
    }

    private string About(int stem)
    {
        var (guess, lowEnd) = (analysis.Guesses[stem], analysis.Map.Stems[stem].LowEnd);
        return Invariant($"{Words.Of(guess.Kind)}, confidence {guess.Confidence:0.00}; {100 * lowEnd.Share:0} % of the low end{(lowEnd.Lowest is { } lowest ? Invariant($"; lowest note {new Note(lowest.Midi, 0).Name}") : "")}.");
    }

    private double HighPassHz(int stem, CollisionMap collisions)
    {
        var lowest = analysis.Map.Stems[stem].LowEnd.Lowest?.FrequencyHz ?? double.PositiveInfinity;
        return Math.Max(40, Tens(Math.Min(0.75 * lowest, Math.Max(100, 1.5 * collisions.OwnBand.ToHz))));
    }

    private bool IsInALayer(int stem) => analysis.Layers.Any(group => group.Contains(stem));

    private string Name(int stem) => analysis.Map.Stems[stem].Name;

    private static double Tens(double hz) => Math.Round(hz / 10) * 10;
}
