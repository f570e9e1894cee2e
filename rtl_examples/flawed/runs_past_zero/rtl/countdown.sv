// Minutes and seconds left of an exposure. Load sets them and begins a whole second.
// Done says 00:00.
module countdown #(
    parameter int CLK_HZ = 12_000_000
) (
    input  logic       clk,
    input  logic       rst,       // synchronous, active high
    input  logic       load,
    input  logic [5:0] load_seconds,
    input  logic [6:0] load_minutes,
    input  logic       run,
    output logic [5:0] seconds,
    output logic [6:0] minutes,
    output logic       done
);
    logic [23:0] clocks;
    wire         full = clocks == 24'(CLK_HZ - 1);

    assign done = seconds == '0 && minutes == '0;

    always_ff @(posedge clk)
        if (rst) begin
            clocks  <= '0;
            seconds <= '0;
            minutes <= '0;
        end else if (load) begin
            clocks  <= '0;
            seconds <= load_seconds;
            minutes <= load_minutes;
        end else if (run) begin
            clocks <= full ? '0 : clocks + 1'b1;
            if (full) begin
                if (seconds != '0)
                    seconds <= seconds - 1'b1;
                else begin
                    seconds <= 6'd59;
                    minutes <= minutes - 1'b1;
                end
            end
        end
endmodule
