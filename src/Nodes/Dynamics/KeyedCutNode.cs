using RenderGraph.Graph.Contracts;
using RenderGraph.Graph.Parameters;
using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Nodes.Dynamics;

/// <summary>What of the key is listened to.</summary>
public enum KeyRange
{
    /// <summary>A band around the cut's frequency, or around another.</summary>
    Band,

    /// <summary>The whole key.</summary>
    All,
}

/// <summary>What the cut moves by.</summary>
public enum CutMode
{
    /// <summary>By the key's level, as it is heard.</summary>
    Follow,

    /// <summary>By a list of the key's hits, known beforehand.</summary>
    Hits,
}

/// <summary>What a keyed cut is asked to do.</summary>
/// <param name="DepthDb">How far down the centre goes.</param>
/// <param name="ReleaseBeats">Null: <paramref name="ReleaseMs"/>.</param>
/// <param name="BeatMs">How long a beat is, or null.</param>
/// <param name="ThresholdDbfs">Null: <paramref name="BelowHitsDb"/> under the key's own loud hits.</param>
/// <param name="ListenHz">Null: <paramref name="FrequencyHz"/>.</param>
/// <param name="Hits">By the song's frames; null: the key is followed.</param>
public sealed record KeyedCutParameters(
    double FrequencyHz, double Q, double DepthDb, CutMode Mode, double AttackMs, double HoldMs, double ReleaseMs, double? ReleaseBeats, double? BeatMs, double LookaheadMs,
    double StrengthFraction, double? ThresholdDbfs, double BelowHitsDb, double SoftDb, KeyRange Listen, double? ListenHz, IReadOnlyList<Hit>? Hits)
{
    /// <summary>About two octaves: wide enough to answer at the first crest, narrow enough to miss hats and most of a snare.</summary>
    internal const double ListeningQ = 0.7;

    private static readonly string[] OnlyToFollow = [nameof(ThresholdDbfs), nameof(BelowHitsDb), nameof(SoftDb), nameof(Listen), nameof(ListenHz)];

    /// <summary>How late a band-pass hears a hit: its tone's first crest, a quarter of a period after it sets in, at the latest.</summary>
    internal double ListeningLagMs => Listen == KeyRange.All ? 0 : 250 / ListeningHz;

    /// <summary>Centre of the band listened to.</summary>
    internal double ListeningHz => ListenHz ?? FrequencyHz;

    /// <summary>What of the key is heard: null is all of it.</summary>
    internal double? HeardHz => Listen == KeyRange.All ? null : ListeningHz;

    /// <summary>The release, told in one way or the other.</summary>
    internal double WholeReleaseMs => ReleaseBeats * BeatMs ?? ReleaseMs;

    /// <summary>Reads them.</summary>
    public static KeyedCutParameters Read(IParameterSource source)
    {
        var frequencyHz = source.FrequencyHz(nameof(FrequencyHz), 20, 1000, null, "Centre of the cut.");
        var q = source.Number(nameof(Q), 0.3, 12, 2, "How narrow the cut is: its centre over its width; 1.5 to 3 is about one band of hearing in the low end.");
        var depthDb = source.Number(nameof(DepthDb), 0, 36, 6, "How far down the centre goes while the key hits.");
        var mode = source.Choice(
            nameof(Mode), source.KeyHits is null ? CutMode.Follow : CutMode.Hits,
            "What the cut moves by: the key's level, or its hits, which are then known beforehand. Left out, by the hits if the key is the anchor and its hits are measured or named, else by the level.");
        var moves = (ByHits: mode == CutMode.Hits, Hits: mode == CutMode.Hits ? source.KeyHits ?? [] : null);
        var parameters = new KeyedCutParameters(
            frequencyHz, q, depthDb, mode,
            source.Number(nameof(AttackMs), 0.5, 50, 5, "Time the cut takes to fall. It arrives with the key's onset if this is no more than lookaheadMs; otherwise it arrives late by the difference, or, by hits, falls in lookaheadMs."),
            source.Number(nameof(HoldMs), 0, 1000, moves.ByHits ? 100 : 40, "Time the cut stays down after the key's last loud peak; less than 25 counts as 25, half a period of 20 Hz. By hits, after the onset, and 100 if left out."),
            source.Number(nameof(ReleaseMs), 5, 2000, moves.ByHits ? 140 : 80, "Time in which 63 % of the depth is given back; never quicker than about 0.6 x attackMs. By hits, time in which all of it is, and 140 if left out."),
            source.OptionalNumber(nameof(ReleaseBeats), 0.01, 8, "The release in beats of the graph's tempoBpm, instead of releaseMs: 0.25 is a sixteenth."),
            source.BeatMs,
            source.Number(nameof(LookaheadMs), 0, 50, 8, "How long before the key's onset the cut may begin to fall."),
            source.Number(nameof(StrengthFraction), 0, 1, 0, "By hits, how far the depth follows a hit's strength: 0, every hit cuts by depthDb; 1, one of strength 0.3 by 0.3 x depthDb. None cuts deeper."),
            source.OptionalNumber(nameof(ThresholdDbfs), -100, 0, "Key level, as listened to, from which on the cut is full; left out, belowHitsDb sets it at any stem level."),
            source.Number(nameof(BelowHitsDb), 0, 40, 12, "How far the threshold lies below the key's own loud hits, found before the render; not used with thresholdDbfs."),
            source.Number(nameof(SoftDb), 0, 24, 6, "Zone below the threshold in which the depth grows from none to full."),
            source.Choice(nameof(Listen), KeyRange.Band, "What of the key is listened to: a band around the cut's frequency, or all of it."),
            source.OptionalFrequencyHz(nameof(ListenHz), 20, 8000, "Centre of the band listened to; left out, the cut's frequency."),
            moves.Hits);
        parameters.RefuseContradictions(source);
        return parameters;
    }

    private void RefuseContradictions(IParameterSource source)
    {
        if (this is { Listen: KeyRange.All, ListenHz: not null })
            source.Refuse(nameof(ListenHz), "listenHz names a band, but listen is \"all\"", "Leave one of them out");
        if (ReleaseBeats is not null && BeatMs is null)
            source.Refuse(nameof(ReleaseBeats), "releaseBeats counts in beats, but the graph has no tempoBpm", "Add the song's tempo to the graph, such as \"tempoBpm\": 120, or write releaseMs");
        if (ReleaseBeats is not null && source.IsGiven(nameof(ReleaseMs)))
            source.Refuse(nameof(ReleaseBeats), "releaseBeats and releaseMs both tell the release", "Leave one of them out");
        if (Mode == CutMode.Hits && source.KeyHits is null)
            source.Refuse(nameof(Mode), "mode is \"hits\", but nobody knows when its key hits", "Let the anchor's stem be its key, and add \"hits\": \"measure\" to the anchor; or write \"follow\"");
        if (Mode == CutMode.Follow && StrengthFraction > 0)
            source.Refuse(nameof(StrengthFraction), "strengthFraction is about hits, but the cut follows its key's level", "Remove it, or let the cut move by hits: add \"hits\": \"measure\" to the anchor");
        if (Mode == CutMode.Hits && OnlyToFollow.Where(source.IsGiven).ToList() is { Count: > 0 } names)
        {
            source.Refuse(
                names[0], $"the cut moves by hits, and what is about its key's level has no use then: {string.Join(", ", names.Select(ParameterName.InGraph))}",
                "Remove it, or add \"mode\": \"follow\"");
        }
    }
}

/// <summary>
/// Cuts one band while a key hits: y = x + (g - 1) bandpass(x). The poles stay, only g moves, so at full depth the response is that of a bell,
/// (s^2 + g s/Q + 1) / (s^2 + s/Q + 1), and at none the input bit for bit. g is worked out every 16 frames of the song and moves in a straight
/// line between. A key that is followed comes earlier by <see cref="CutCurve.LeadSteps"/>; hits are known beforehand, and the key is then not heard.
/// </summary>
public sealed class KeyedCutNode(KeyedCutParameters parameters) : IListeningNode, ILaneNode, IFigureSource
{
    // Cut that counts as being at work: about the least difference in level that is heard. Common practice, no source.
    private const double ActiveDb = 0.1;

    private NodeFormat _format = null!;
    private KeyListening _listening = null!;
    private KeyedCutGroup _alone = null!;
    private CutCurve _curve = null!;
    private HitCurve? _hitCurve;
    private double _liftFrom, _liftTo;

    private double? _loudHitsDbfs;
    private double _depthDb, _deepestDb;
    private bool _isHit;
    private long _steps, _activeSteps, _hits, _firstHitFrame;
    private int _leadFrames;

    /// <summary>Its type.</summary>
    public static NodeType Type { get; } = NodeType.Define(
        "keyedCut", 1,
        "Cuts one band of the signal while the key hits and leaves it alone, bit for bit, while it does not. The cut begins before the hit, so that it is there at its onset. "
        + "How loud the key is does not matter: it moves by the anchor's measured hits, or by a threshold that follows the key's own loud hits.",
        [Port.Input, Port.Key], KeyedCutParameters.Read, parameters => new KeyedCutNode(parameters));

    /// <inheritdoc/>
    public string LaneKind => "keyedCut";

    /// <inheritdoc/>
    public bool CanRunInRow => false;

    /// <inheritdoc/>
    public bool MustListen => parameters is { Hits: null, ThresholdDbfs: null };

    /// <inheritdoc/>
    public int ListenInput => 1;

    /// <inheritdoc/>
    public string ListenKind => "keyedCut";

    /// <inheritdoc/>
    public IReadOnlyList<Figure> Figures => parameters.Hits is { } hits ?
    [
        new("hitCount", hits.Count),
        new("firstHitSeconds", hits.Count == 0 ? null : (double)hits[0].Frame / _format.SampleRateHz),
        .. Movement,
    ]
    :
    [
        new("thresholdDbfs", double.IsFinite(_curve.ThresholdDbfs) ? _curve.ThresholdDbfs : null),
        new("loudHitsDbfs", _loudHitsDbfs),
        new("hitCount", _hits),
        new("firstHitSeconds", _hits == 0 ? null : Math.Max(0, ((double)_firstHitFrame / _format.SampleRateHz) - (parameters.ListeningLagMs / 1000))),
        .. Movement,
    ];

    private Figure[] Movement => [new("deepestCutDb", _deepestDb), new("activeFraction", _steps == 0 ? null : (double)_activeSteps / _steps)];

    /// <summary>What it is asked to do.</summary>
    internal KeyedCutParameters Parameters => parameters;

    /// <inheritdoc/>
    public int LatencyFrames(int sampleRateHz) => 0;

    /// <inheritdoc/>
    public int KeyLeadFrames(int sampleRateHz) => parameters.Hits is not null ? 0 : CutCurve.LeadSteps(parameters, sampleRateHz) * ControlGrid.StepFrames;

    /// <inheritdoc/>
    public void Prepare(NodeFormat format)
    {
        (_format, _leadFrames) = (format, KeyLeadFrames(format.SampleRateHz));
        _listening = ListeningTo([parameters.HeardHz]);
        _curve = new(parameters, format.SampleRateHz) { ThresholdDbfs = parameters.ThresholdDbfs ?? double.PositiveInfinity };
        (_liftFrom, _liftTo, _loudHitsDbfs, _depthDb, _deepestDb, _isHit) = (0, 0, null, 0, 0, false);
        (_steps, _activeSteps, _hits, _firstHitFrame) = (0, 0, 0, 0);
        _hitCurve = parameters.Hits is null ? null : new(parameters, format.SampleRateHz);
        if (_hitCurve is not null)
        {
            // The step that the first frame lies in: a hit may stand at the very start.
            var stepFrame = -format.Inputs[0].LatencyFrames - ControlGrid.PlaceOf(-format.Inputs[0].LatencyFrames);
            _liftFrom = LiftOf(_hitCurve.DepthDb(stepFrame));
            TakeDepth(_hitCurve.DepthDb(stepFrame + ControlGrid.StepFrames));
        }

        _alone = new([new([this], format, [0, 1])]);
    }

    /// <inheritdoc/>
    public void Listen(long songFrame, Signal heard) => _listening.Listen(songFrame, heard);

    /// <inheritdoc/>
    public double Settle() => _listening.LevelDbfs(parameters.HeardHz);

    /// <inheritdoc/>
    public IListener HearTogether(IReadOnlyList<IListeningNode> listeners)
    {
        var cuts = listeners.Cast<KeyedCutNode>().ToList();
        var together = ListeningTo(cuts.Select(cut => cut.Parameters.HeardHz).Distinct());
        cuts.ForEach(cut => cut._listening = together);
        return together;
    }

    /// <inheritdoc/>
    public void Recall(double settled)
    {
        if (settled == LoudHits.NoneDbfs)
            return;
        _loudHitsDbfs = settled;
        _curve.ThresholdDbfs = settled - parameters.BelowHitsDb;
    }

    /// <inheritdoc/>
    public void Process(in Block block) => _alone.Process(block.StartFrame, block.Inputs, [block.Output]);

    /// <inheritdoc/>
    public ILaneGroup Join(IReadOnlyList<Lane> lanes) => new KeyedCutGroup(lanes);

    /// <summary>Writes g - 1 for every frame; false if it is 0 throughout. The peak of a step decides where the next step's line ends.</summary>
    /// <param name="songFrame">The first frame's place in the song.</param>
    /// <param name="peaks">Of the steps of the key that end in these frames; by hits, none.</param>
    internal bool Draw(long songFrame, ReadOnlySpan<double> peaks, Span<double> lift)
    {
        var (isCutting, ended) = (false, 0);
        for (var start = 0; start < lift.Length;)
        {
            var place = ControlGrid.PlaceOf(songFrame + start);
            var count = Math.Min(ControlGrid.StepFrames - place, lift.Length - start);
            var line = lift.Slice(start, count);
            isCutting |= _liftFrom != 0 || _liftTo != 0;
            if (_liftFrom == _liftTo)
                line.Fill(_liftFrom);
            else
                Planes.Line(_liftFrom, (_liftTo - _liftFrom) / ControlGrid.StepFrames, place, line);

            if (place + count == ControlGrid.StepFrames)
            {
                _liftFrom = _liftTo;
                if (_hitCurve is not null)
                    TakeDepth(_hitCurve.DepthDb(songFrame + start + count + ControlGrid.StepFrames));
                else
                    TakeStep(_curve.Next(peaks[ended++]), songFrame + start - place + _leadFrames);
            }

            start += count;
        }

        return isCutting;
    }

    private KeyListening ListeningTo(IEnumerable<double?> bandsHz) =>
        new(bandsHz, _format.SampleRateHz, _format.Inputs[ListenInput].Channels, _format.MaxBlockFrames);

    // keyFrame: where in the song the step of the key began that this depth answers.
    private void TakeStep(double depthDb, long keyFrame)
    {
        TakeDepth(depthDb);
        var isDeep = _curve.AskedDb > parameters.DepthDb / 2;
        if (isDeep && !_isHit && _hits++ == 0)
            _firstHitFrame = keyFrame;
        _isHit = isDeep || (_isHit && _curve.AskedDb > 0);
    }

    private void TakeDepth(double depthDb)
    {
        if (depthDb != _depthDb)
            (_depthDb, _liftTo) = (depthDb, LiftOf(depthDb));
        _deepestDb = Math.Max(_deepestDb, depthDb);
        _activeSteps += depthDb > ActiveDb ? 1 : 0;
        _steps++;
    }

    private static double LiftOf(double depthDb) => depthDb == 0 ? 0 : Decibels.ToAmplitude(-depthDb) - 1;
}
