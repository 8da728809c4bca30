using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using RenderGraph.Nodes.Dsp;
using RenderGraph.Nodes.Dynamics;
using RenderGraph.Nodes.Measures.Loudness;

namespace RenderGraph.Nodes.Measures.Limiting;

/// <summary>
/// What a limiter under a ceiling of full scale would do to a sound at many drives, all at once. It sees the sound in slots of 1.25 ms, by their peaks, and works on them as <see cref="LimitNode"/> does on frames: a need is
/// held, given back by the release, and smoothed over the look-ahead by two running means. Memory does not grow with the song.
/// </summary>
internal sealed class DriveBank
{
    /// <summary>Slots in a second.</summary>
    public const int SlotsPerSecond = 800;

    /// <summary>By so much peaks come later than energies.</summary>
    public const int PeakLatencySlots = 1;

    // 5 and 100 ms, what a limit does if it is told nothing else; and as long as its interpolation reaches.
    private const int LookaheadSlots = 4, ReleaseSlots = 80, HoldSlots = 1;

    private const int FirstMeanSlots = (LookaheadSlots + 1) / 2, SecondMeanSlots = LookaheadSlots + 1 - FirstMeanSlots;
    private const int LatencySlots = LookaheadSlots - 1 + HoldSlots + PeakLatencySlots;
    private const int StepSlots = SlotsPerSecond / 10, WindowSteps = 4; // 0.1 and 0.4 s
    private const double DbPerOctave = 6.020599913279624; // 20 log10(2)
    private const double LeastDriveDb = -16, DriveStepDb = 1, GateLu = 10;
    private const int DriveCount = 64, HistogramStepsPerLu = 10;

    private static readonly double Kept = PortableMath.Exp2(-1 / (ReleaseSlots * PortableMath.Ln2));
    private static readonly double[] DrivesDb = [.. Enumerable.Range(0, DriveCount).Select(index => LeastDriveDb + (index * DriveStepDb))];
    private static readonly double[] DrivePowers = [.. DrivesDb.Select(driveDb => PortableMath.Exp2(2 * driveDb / DbPerOctave))];

    private readonly double _workDb, _fraction;
    private readonly SlidingMaximum _held = new(LookaheadSlots + (2 * HoldSlots));
    private readonly double[] _falling = new double[DriveCount]; // before smoothing
    private readonly RunningSums _first = new(FirstMeanSlots), _second = new(SecondMeanSlots);
    private readonly double[] _energies = new double[LatencySlots]; // a ring
    private readonly double[] _reductionDb = new double[DriveCount], _gains = new double[DriveCount];
    private readonly double[] _worked = new double[DriveCount]; // slots with as much reduction
    private readonly double[][] _stepEnergies; // of each drive in the last steps: a ring
    private readonly LoudnessHistogram[] _windows;
    private long _taken, _steps;

    /// <param name="workDb">The reduction whose slots are counted.</param>
    /// <param name="fraction">The part of the slots that is to have it.</param>
    public DriveBank(double workDb, double fraction)
    {
        (_workDb, _fraction) = (workDb, fraction);
        _stepEnergies = [.. Enumerable.Range(0, WindowSteps).Select(_ => new double[DriveCount])];
        _windows = [.. DrivesDb.Select(_ => new LoudnessHistogram(HistogramStepsPerLu))];
    }

    /// <summary>What peaks lower than this makes no difference to the drive that is asked for, as far as can be told by now: as an amplitude.</summary>
    public double Threshold { get; private set; }

    /// <summary>Slots that have come out.</summary>
    private long Slots => Math.Max(0, _taken - LatencySlots);

    /// <summary>Takes the next slot.</summary>
    /// <param name="peakDbtp">The highest point of any channel, <see cref="PeakLatencySlots"/> ago.</param>
    /// <param name="energy">The K-weighted energy of all channels, for one frame.</param>
    public void Hear(double peakDbtp, double energy)
    {
        Fall(_held.Next(peakDbtp));
        Planes.Scale(_second.Next(_first.Next(_falling)), 1.0 / (FirstMeanSlots * SecondMeanSlots), _reductionDb);
        var place = (int)(_taken % LatencySlots);
        (var leaving, _energies[place]) = (_energies[place], energy);
        if (++_taken <= LatencySlots)
            return;

        Count();
        if (leaving > 0)
        {
            Planes.Scale(_reductionDb, -2 / DbPerOctave, _gains);
            PortableMath.Exp2(_gains, _gains);
            Planes.AddScaled(_gains, leaving, _stepEnergies[_steps % WindowSteps]);
        }

        if (Slots % StepSlots == 0)
            EndStep();
    }

    /// <summary>After the last slot: lets out what is still inside.</summary>
    public void End(double silenceDbfs)
    {
        for (var slot = 0; slot < LatencySlots; slot++)
            Hear(silenceDbfs, 0);
    }

    /// <summary>At which drive that part of the slots has the reduction, and the loudness then; null if at none, or if nothing is loud enough to have a loudness.</summary>
    public (double DriveDb, double Lufs)? Find()
    {
        var rank = _fraction * Slots;
        var above = FirstAbove(rank);
        if (above is 0 or DriveCount || _windows[above - 1].Count == 0)
            return null;
        var (low, high) = (LogOdds(_worked[above - 1]), LogOdds(_worked[above]));
        var place = (LogOdds(rank) - low) / (high - low);
        var (softer, louder) = (_windows[above - 1].GatedLufs(GateLu), _windows[above].GatedLufs(GateLu));
        return (DrivesDb[above - 1] + (place * DriveStepDb), softer + (place * (louder - softer)));
    }

    /// <summary>The least drive at which more slots than these have the reduction; <see cref="DriveCount"/> if there is none.</summary>
    private int FirstAbove(double rank)
    {
        var drive = 0;
        while (drive < DriveCount && _worked[drive] <= rank)
            drive++;
        return drive;
    }

    /// <summary>Of that many slots against all others: by drive it is nearly a straight line, where the number itself bends.</summary>
    private double LogOdds(double slots)
    {
        const double Half = 0.5; // neither none nor all has odds
        return PortableMath.Log2((slots + Half) / (Slots - slots + Half));
    }

    private void Fall(double heldDbtp)
    {
        var drives = Four(DrivesDb);
        var falling = Four(_falling);
        var (held, kept) = (Vector256.Create(heldDbtp), Vector256.Create(Kept));
        for (var index = 0; index < falling.Length; index++)
            falling[index] = Vector256.Max(Vector256<double>.Zero, Vector256.Max(held + drives[index], falling[index] * kept));
    }

    private void Count()
    {
        var reduction = Four(_reductionDb);
        var counts = Four(_worked);
        var work = Vector256.Create(_workDb);
        for (var index = 0; index < counts.Length; index++)
            counts[index] += Vector256.ConditionalSelect(Vector256.GreaterThanOrEqual(reduction[index], work), Vector256<double>.One, Vector256<double>.Zero);
    }

    private void EndStep()
    {
        if (++_steps >= WindowSteps)
        {
            for (var drive = 0; drive < DriveCount; drive++)
            {
                var sum = 0.0;
                foreach (var step in _stepEnergies)
                    sum += step[drive];
                _windows[drive].Add(DrivePowers[drive] * sum / (StepSlots * WindowSteps));
            }
        }

        Array.Clear(_stepEnergies[_steps % WindowSteps]);
        var above = FirstAbove(_fraction * Slots);
        Threshold = above < DriveCount ? Decibels.ToAmplitude(-DrivesDb[above] - DriveStepDb) : 0;
    }

    private static Span<Vector256<double>> Four(double[] numbers) => MemoryMarshal.Cast<double, Vector256<double>>(numbers.AsSpan());

    /// <summary>For each drive the sum of its last numbers.</summary>
    private sealed class RunningSums(int length)
    {
        private readonly double[][] _terms = [.. Enumerable.Range(0, length).Select(_ => new double[DriveCount])];
        private readonly double[] _sums = new double[DriveCount];
        private int _oldest;

        public double[] Next(double[] terms)
        {
            var coming = Four(terms);
            var leaving = Four(_terms[_oldest]);
            var sums = Four(_sums);
            for (var index = 0; index < sums.Length; index++)
            {
                sums[index] += coming[index] - leaving[index];
                leaving[index] = coming[index];
            }

            _oldest = _oldest + 1 == length ? 0 : _oldest + 1;
            return _sums;
        }
    }
}
