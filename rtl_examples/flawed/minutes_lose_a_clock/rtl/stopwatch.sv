// Stopwatch for star transits: minutes, seconds and tenths. Stopped, it keeps the part of a tenth
// that has passed; clear starts everything anew.
module stopwatch #(
    parameter int CLK_HZ = 12_000_000
) (
    input  logic       clk,
    input  logic       rst,       // synchronous, active high
    input  logic       run,
    input  logic       clear,
    output logic [3:0] tenths,
    output logic [5:0] seconds,
    output logic [5:0] minutes
);
    localparam int CLOCKS = CLK_HZ / 10;

    logic [20:0] clocks;
    logic        minute;

    always_ff @(posedge clk)
        if (rst || clear) begin
            clocks  <= '0;
            tenths  <= '0;
            seconds <= '0;
            minutes <= '0;
            minute  <= 1'b0;
        end else if (run) begin
            minute <= 1'b0;
            if (minute) minutes <= minutes == 6'd59 ? 6'd0 : minutes + 6'd1;
            if (clocks != 21'(CLOCKS - 1))
                clocks <= clocks + 1'b1;
            else begin
                clocks <= '0;
                if (tenths != 4'd9)
                    tenths <= tenths + 1'b1;
                else begin
                    tenths <= '0;
                    if (seconds != 6'd59)
                        seconds <= seconds + 1'b1;
                    else begin
                        seconds <= '0;
                        minute  <= 1'b1;
                    end
                end
            end
        end
endmodule
