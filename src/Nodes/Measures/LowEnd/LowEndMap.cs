using RenderGraph.Graph.Contracts;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Measures.Bands;
using RenderGraph.Nodes.Measures.Pitch;
using RenderGraph.Nodes.Measures.Spectra;
using RenderGraph.Nodes.Measures.Stems;

namespace RenderGraph.Nodes.Measures.LowEnd;

/// <summary>
/// Who is where in the low end of a song: every stem is walked through once, its low band kept in a temporary file, and all of them are then compared window by window. Memory does not grow with the song.
/// </summary>
public sealed class LowEndMap : IDisposable
{
    /// <summary>Length of the windows for the whole song.</summary>
    internal const double WindowSeconds = 0.34;

    private const double SilenceDbfs = -200;
    private const int NoteBlockFrames = 4096;

    private LowEndMap(int sampleRateHz, long lengthFrames, IReadOnlyList<SongStem> sources, LowBand lowBand, LowBandSpool spool, SpectralMatrix matrix, IReadOnlyList<MeasuredStem> stems)
    {
        (SampleRateHz, LengthFrames, Sources, LowBand, Spool, Matrix, Stems) = (sampleRateHz, lengthFrames, sources, lowBand, spool, matrix, stems);
    }

    /// <summary>Of every stem.</summary>
    public int SampleRateHz { get; }

    /// <summary>Where the last stem ends.</summary>
    public long LengthFrames { get; }

    /// <summary>What was found of each stem, in the order given.</summary>
    public IReadOnlyList<MeasuredStem> Stems { get; }

    /// <summary>Where the sound is.</summary>
    internal IReadOnlyList<SongStem> Sources { get; }

    internal LowBand LowBand { get; }

    internal LowBandSpool Spool { get; }

    internal SpectralMatrix Matrix { get; }

    internal IReadOnlyList<int> Channels => [.. Sources.Select(source => source.Reader.Format.Channels)];

    /// <summary>Measures.</summary>
    /// <param name="stems">All of one rate, with different names.</param>
    /// <param name="threads">Most threads; the figures do not depend on it.</param>
    /// <exception cref="StemException">A stem changed or failed while it was read.</exception>
    /// <exception cref="OutputException">There is no room for the temporary file.</exception>
    /// <exception cref="OperationCanceledException">Interrupted.</exception>
    public static LowEndMap Measure(IReadOnlyList<SongStem> stems, int sampleRateHz, int threads, CancellationToken cancellation)
    {
        var lengthFrames = stems.Select(stem => stem.EndFrame).DefaultIfEmpty(0).Max();
        var lowBand = LowBand.Of(sampleRateHz);
        var channels = stems.Select(stem => stem.Reader.Format.Channels).ToArray();
        var firstPlanes = channels.Select((_, stem) => channels.Take(stem).Sum()).ToArray();
        var spool = new LowBandSpool(channels.Sum(), lowBand.FramesOf(lengthFrames));
        try
        {
            var facts = new StemFacts[stems.Count];
            var notes = new (IReadOnlyList<PlayedNote> Notes, double? Filled)[stems.Count];
            Parallelly.For(stems.Count, threads, stem =>
            {
                facts[stem] = StemWalk.Run(stems[stem], sampleRateHz, lowBand, spool, firstPlanes[stem], cancellation);
                notes[stem] = NotesOf(spool, firstPlanes[stem], channels[stem], lowBand, lowBand.FramesOf(lengthFrames), facts[stem]);
            }, cancellation);

            var frame = new SpectralFrame(WindowSeconds, lowBand.SampleRateHz);
            var matrix = new SpectralMatrix(stems.Count, frame);
            var hop = frame.WindowFrames / 2;
            var windows = (int)(lowBand.FramesOf(lengthFrames) / hop) + 1;

            // From half a window before the song on, so that every frame counts alike.
            SpectralPass.Run(spool, channels, frame, windows, window => (long)(window - 1) * hop, threads, batch => matrix.Add(batch, threads), cancellation);

            var lowEnd = frame.Shares(ErbScale.LowestHz, ErbScale.HighestHz);
            var total = Enumerable.Range(0, stems.Count).Where(stem => !stems[stem].IsMuted).Sum(stem => matrix.Power(stem, lowEnd));
            return new(sampleRateHz, lengthFrames, stems, lowBand, spool, matrix,
            [
                .. stems.Select((stem, index) => new MeasuredStem(
                    stem.Name, stem.Reader.Format, stem.StartFrame, stem.IsMuted, facts[index], Of(matrix, index, lowEnd, total, facts[index], notes[index]))),
            ]);
        }
        catch
        {
            spool.Dispose();
            throw;
        }
    }

    /// <summary>Takes the temporary file away.</summary>
    public void Dispose() => Spool.Dispose();

    private static StemLowEnd Of(
        SpectralMatrix matrix, int stem, double[] lowEnd, double total, StemFacts facts, (IReadOnlyList<PlayedNote> Notes, double? Filled) notes)
    {
        var frame = matrix.Frame;
        var power = matrix.Power(stem, lowEnd);
        var mid = matrix.MidPower(stem, lowEnd);
        var isThere = Level(power) is not null;
        return new(
            Level(power), total > 0 ? power / total : 0, LevelsIn(BandLevels.Bands.Take(4)), LevelsIn(ErbScale.HalfErbBands),
            Level(matrix.Power(stem, frame.Shares(0, ErbScale.LowestHz))), Level(facts.DcAmplitude * facts.DcAmplitude),
            isThere ? Math.Clamp(1 - (mid / power), 0, 1) : null, isThere ? Math.Min(0, Math.Max(SilenceDbfs, Decibels.FromPower(mid) - Decibels.FromPower(power))) : null,
            notes.Notes, notes.Filled);

        IReadOnlyList<double?> LevelsIn(IEnumerable<Band> bands) => [.. bands.Select(band => Level(matrix.Power(stem, frame.Shares(band.FromHz, band.ToHz))))];
    }

    private static double? Level(double power) => Decibels.FromPower(power) is var level && level > SilenceDbfs ? level : null;

    private static (IReadOnlyList<PlayedNote> Notes, double? Filled) NotesOf(LowBandSpool spool, int firstPlane, int channels, LowBand lowBand, long frames, StemFacts facts)
    {
        if (facts.IsSilent)
            return ([], null);

        // Sides that cancel are heard one by one: their sum says nothing.
        var isOneSide = channels == 2 && facts.LeftRightCorrelation < 0;
        var tracker = new NoteTracker(lowBand.SampleRateHz);
        var (samples, other) = (new double[NoteBlockFrames], new double[NoteBlockFrames]);
        for (long start = 0; start < frames; start += NoteBlockFrames)
        {
            var count = (int)Math.Min(NoteBlockFrames, frames - start);
            spool.Read(firstPlane, start, samples.AsSpan(0, count));
            if (channels == 2 && !isOneSide)
            {
                spool.Read(firstPlane + 1, start, other.AsSpan(0, count));
                for (var index = 0; index < count; index++)
                    samples[index] = (samples[index] + other[index]) / 2;
            }

            tracker.Add(samples.AsSpan(0, count));
        }

        return (tracker.Finish(), tracker.FilledFraction);
    }
}
