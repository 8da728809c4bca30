using RenderGraph.Nodes.Dsp;

namespace RenderGraph.Songs.Playing;

/// <summary>A song's beats, and chords of its own over which parts agree: a chord a bar, four beats a bar.</summary>
internal sealed class Score
{
    private static readonly int[][] Progressions = [[0, 5, 7, 0], [0, -4, 3, -2], [0, 3, 5, -2], [0, -2, -4, -5]];

    private readonly Dice _dice;
    private readonly int[] _progression;

    /// <param name="rootKey">The tonic's key in the lowest octave that is played, 69 being 440 Hz.</param>
    public Score(Stage stage, Dice dice, int tempoBpm, int rootKey, double startSeconds)
    {
        _dice = dice;
        (TempoBpm, RootKey, StartSeconds) = (tempoBpm, rootKey, startSeconds);
        _progression = dice.Of(Progressions);
        BeatCount = Math.Max(1, (int)Math.Ceiling((stage.Seconds - startSeconds) / BeatSeconds));
    }

    public int TempoBpm { get; }

    public int RootKey { get; }

    public double StartSeconds { get; }

    /// <summary>Beats in the whole song; the last may be cut.</summary>
    public int BeatCount { get; }

    public double BeatSeconds => 60.0 / TempoBpm;

    /// <summary>Twelve equal steps to an octave, key 69 being 440 Hz (ISO 16).</summary>
    public static double PitchHz(double key) => 440 * PortableMath.Exp2((key - 69) / 12);

    /// <summary>The same hits in every bar, on these beats of it (0 is the first, 0.5 the eighth after it).</summary>
    public IReadOnlyList<Note> Hits(double pitchHz, double unevenness, params double[] beats) =>
        [.. Beats(beats).Select(beat => new Note(At(beat), 0, pitchHz, Math.Round(1 - _dice.Between(0, unevenness), 2)))];

    /// <summary>The chord's root on these beats of each bar.</summary>
    public IReadOnlyList<Note> Roots(int octave, double lengthBeats, params double[] beats) =>
        [.. Beats(beats).Select(beat => new Note(At(beat), lengthBeats * BeatSeconds * 0.96, PitchHz(KeyAt(beat) + (12 * octave)), _dice.Between(0.85, 1)))];

    /// <summary>A walk through the chord, a note a beat: root, fifth, octave, and a step to the next root.</summary>
    public IReadOnlyList<Note> Walk() =>
    [
        .. Beats(0, 1, 2, 3).Select(beat => new Note(
            At(beat), BeatSeconds * 0.9, PitchHz(KeyAt(beat) + ((int)(beat % 4) switch { 0 => 0, 1 => 7, 2 => _dice.Of(0, 12), _ => _dice.Of(-1, 2, 5) })), _dice.Between(0.75, 1))),
    ];

    /// <summary>A minor chord above the root, on these beats of each bar.</summary>
    public IReadOnlyList<Note> Chords(int octave, double lengthBeats, bool withLowRoot, params double[] beats) =>
    [
        .. Beats(beats).SelectMany(beat => (withLowRoot ? new[] { -12, 0, 3, 7 } : [0, 3, 7])
            .Select(step => new Note(At(beat), lengthBeats * BeatSeconds, PitchHz(KeyAt(beat) + (12 * octave) + step), 1))),
    ];

    /// <summary>A tune of our own: steps of the scale, drawn by lot.</summary>
    public IReadOnlyList<Note> Tune(int octave) =>
        [.. Beats(0.5, 1.5, 2, 3).Select(beat => new Note(At(beat), BeatSeconds * _dice.Between(0.4, 0.9), PitchHz(RootKey + (12 * octave) + _dice.Of(0, 3, 5, 7, 10)), _dice.Between(0.7, 1)))];

    private IEnumerable<double> Beats(params double[] ofBar) =>
        Enumerable.Range(0, (BeatCount + 3) / 4).SelectMany(bar => ofBar.Select(beat => (4 * bar) + beat)).Where(beat => beat < BeatCount);

    private double At(double beat) => StartSeconds + (beat * BeatSeconds);

    private int KeyAt(double beat) => RootKey + _progression[(int)(beat / 4) % _progression.Length];
}
