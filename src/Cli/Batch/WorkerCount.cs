namespace RenderGraph.Cli.Batch;

/// <summary>
/// How many songs are worked on at once, and by how many threads each: together as many threads as there are processors. Memory does not grow with the songs' length, so a song needs what its stems, nodes and threads need:
/// <see cref="SongBytes"/> is ample for a hundred stems. Of the memory that the process may use (a container's, if it is in one) half is left alone.
/// </summary>
/// <param name="Workers">Songs at once.</param>
/// <param name="ThreadsEach">Threads of each song.</param>
internal readonly record struct WorkerCount(int Workers, int ThreadsEach)
{
    /// <summary>Memory counted for each song that is worked on.</summary>
    public const long SongBytes = 512L << 20;

    /// <summary>Decides.</summary>
    /// <param name="wanted">As told on the command line; null to choose.</param>
    public static WorkerCount Of(int? wanted, int songs, int processors, long memoryBytes)
    {
        var byMemory = Math.Max(1, memoryBytes / 2 / SongBytes);
        var workers = (int)Math.Min(wanted ?? Math.Min(processors, byMemory), Math.Max(1, songs));
        return new(workers, Math.Max(1, processors / workers));
    }
}
