using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace RenderGraph.Nodes.Dsp;

/// <summary>
/// One plane at a fraction of its rate, for measuring what lies far below: linear-phase low-passes, a stage for each factor of up to eight, each only as steep as what is
/// left of the low end asks for. Sample m of the result lies exactly at frame m x factor of the source. Flat within 0.001 dB up to the pass edge; what would fold into
/// that range is <see cref="AttenuationDb"/> down. The blocks it is fed in change no bit.
/// </summary>
public sealed class Decimator
{
    /// <summary>How far down the filters stop.</summary>
    public const double AttenuationDb = 110;

    private const int MostAtOnce = 8;

    private readonly Stage[] _stages;

    /// <summary>A decimator at rest.</summary>
    /// <param name="factor">A power of two from 1 on.</param>
    /// <param name="passHz">Up to where it is flat; below half the reduced rate.</param>
    /// <param name="sampleRateHz">Of the source.</param>
    /// <param name="mostFrames">As long as no more come at once, nothing is allocated; 0 leaves room to be made when it is needed.</param>
    public Decimator(int factor, double passHz, double sampleRateHz, int mostFrames = 0)
    {
        var stages = new List<Stage>();
        var apart = 1;
        for (var left = factor; left > 1;)
        {
            var step = Math.Min(left, MostAtOnce);
            left /= step;
            stages.Add(new(step, LowPass(passHz / sampleRateHz, (1.0 / step) - (passHz / sampleRateHz)), mostFrames));
            (sampleRateHz, mostFrames) = (sampleRateHz / step, stages[^1].MostSamples(mostFrames));
            (ReachFrames, apart) = (ReachFrames + (apart * stages[^1].Reach), apart * step);
        }

        _stages = [.. stages];
    }

    /// <summary>How many frames before its own, and after it, a sample is made from.</summary>
    public int ReachFrames { get; }

    /// <summary>Begins anew, with silence before.</summary>
    public void Reset()
    {
        foreach (var stage in _stages)
            stage.Reset();
    }

    /// <summary>How many samples that many frames give at most.</summary>
    public static int MostSamples(int frames, int factor) => (frames / factor) + 2;

    /// <summary>Takes frames in and gives what has become ready.</summary>
    /// <returns>Samples written.</returns>
    public int Process(ReadOnlySpan<double> source, Span<double> target)
    {
        if (_stages.Length == 0)
        {
            source.CopyTo(target);
            return source.Length;
        }

        return Run(0, source, target, isEnd: false);
    }

    /// <summary>Gives what is left once the source has ended.</summary>
    /// <returns>Samples written.</returns>
    public int Finish(Span<double> target) => _stages.Length == 0 ? 0 : Run(0, [], target, isEnd: true);

    private int Run(int index, ReadOnlySpan<double> source, Span<double> target, bool isEnd)
    {
        var stage = _stages[index];
        return index == _stages.Length - 1 ? stage.Process(source, target, isEnd) : Run(index + 1, stage.Process(source, isEnd), target, isEnd);
    }

    // A windowed sinc of odd length that passes a constant at unity; edges as fractions of the rate that it runs at.
    private static double[] LowPass(double passEdge, double stopEdge)
    {
        var half = (int)Math.Ceiling(Kaiser.LengthSamples(AttenuationDb, stopEdge - passEdge) / 2);
        var (beta, cutoff) = (Kaiser.Beta(AttenuationDb), passEdge + stopEdge);
        var taps = new double[(2 * half) + 1];
        var sum = 0.0;
        for (var index = 0; index < taps.Length; index++)
        {
            var place = index - half;
            var sinc = place == 0 ? cutoff : PortableMath.Sin(Math.PI * cutoff * place) / (Math.PI * place);
            taps[index] = sinc * Kaiser.Window(beta, place / (half + 1.0));
            sum += taps[index];
        }

        for (var index = 0; index < taps.Length; index++)
            taps[index] /= sum;
        return taps;
    }

    private sealed class Stage
    {
        private readonly int _factor;
        private readonly int _half;
        private readonly double[] _taps;
        private double[] _line, _given;
        private int _count;

        // Frames to be passed over before the next result: the line begins at the first frame that it needs.
        public Stage(int factor, double[] taps, int mostFrames)
        {
            _factor = factor;
            _half = taps.Length / 2;

            // Filled up with zeros to whole vectors.
            _taps = new double[(taps.Length + 3) / 4 * 4];
            taps.CopyTo(_taps, 0);
            _line = new double[(_taps.Length * 2) + mostFrames];
            _given = new double[MostSamples(mostFrames)];
            _count = _half;
        }

        public int MostSamples(int frames) => ((frames + _taps.Length) / _factor) + 2;

        public int Reach => _half;

        public void Reset()
        {
            Array.Clear(_line);
            _count = _half;
        }

        /// <summary>Into room of its own, good until the next call.</summary>
        public ReadOnlySpan<double> Process(ReadOnlySpan<double> source, bool isEnd)
        {
            if (_given.Length < MostSamples(source.Length))
                _given = new double[MostSamples(source.Length)];
            return _given.AsSpan(0, Process(source, _given, isEnd));
        }

        public int Process(ReadOnlySpan<double> source, Span<double> target, bool isEnd)
        {
            var end = _count + source.Length + (isEnd ? _half : 0);
            if (end + 4 > _line.Length)
                Array.Resize(ref _line, end + _taps.Length);
            source.CopyTo(_line.AsSpan(_count));
            if (isEnd)
                _line.AsSpan(_count + source.Length, _half).Clear();

            var (start, written) = (0, 0);
            var needed = (2 * _half) + 1;
            for (; start + needed <= end; start += _factor)
                target[written++] = Dot(_line.AsSpan(start, _taps.Length));

            var kept = Math.Max(0, end - start);
            _line.AsSpan(Math.Min(start, end), kept).CopyTo(_line);
            _count = kept;

            // A factor larger than what was left: the frames passed over are owed.
            if (start > end)
                throw new InvalidOperationException("Taps are never fewer than the factor.");
            return written;
        }

        // What lies past the end of the line meets taps that are 0.
        private double Dot(ReadOnlySpan<double> frames)
        {
            var taps = MemoryMarshal.Cast<double, Vector256<double>>(_taps);
            var fours = MemoryMarshal.Cast<double, Vector256<double>>(frames);
            var (even, odd) = (Vector256<double>.Zero, Vector256<double>.Zero);
            var index = 0;
            for (; index + 1 < taps.Length; index += 2)
            {
                even += taps[index] * fours[index];
                odd += taps[index + 1] * fours[index + 1];
            }

            if (index < taps.Length)
                even += taps[index] * fours[index];
            var sum = even + odd;
            return sum[0] + sum[1] + (sum[2] + sum[3]);
        }
    }
}
