// The value behind the two setting keys: up, down, or set at once. Load beats counting.
// The carry (or borrow) marks the clock in which the value wraps.
module setting_counter #(
    parameter MODULO = 60
) (
    input  wire       clk,
    input  wire       rst,        // synchronous, active high
    input  wire       load,
    input  wire [5:0] load_value,
    input  wire       enable,
    input  wire       up,
    output reg  [5:0] value,
    output wire       carry
);
    localparam [5:0] LAST = MODULO - 1;

    wire wraps = up ? value == LAST : value == 6'd0;

    assign carry = enable & wraps;

    always @(posedge clk) begin
        if (load)
            value <= load_value;
        else if (enable) begin
            if (up)
                value <= wraps ? 6'd0 : value + 6'd1;
            else
                value <= wraps ? LAST : value - 6'd1;
        end
        if (rst)
            value <= 6'd0;
    end
endmodule
